//! Taking the cell out of service and back in, as numbered orders, for the kind of leg that this loop has.

use halfglass_core::description::{Loop, ReferenceLeg};
use halfglass_core::design::Sheets;
use halfglass_report::block::Block;
use halfglass_report::units::{DisplayUnits, current_text, percent_text};

use crate::limits::Limits;
use crate::part::{PackBlock, Part};
use crate::words;

fn heading(text: &str) -> PackBlock {
    PackBlock::Report(Block::Heading(text.to_owned()))
}

fn paragraph(text: impl Into<String>) -> PackBlock {
    PackBlock::Report(Block::Paragraph(text.into()))
}

fn caution(text: impl Into<String>) -> PackBlock {
    PackBlock::Report(Block::Caution(text.into()))
}

fn steps(items: Vec<String>) -> PackBlock {
    PackBlock::Report(Block::Steps(items))
}

/// The part with the manifold orders.
pub(crate) fn part(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    limits: &Limits<'_>,
) -> Part {
    let mut blocks = vec![paragraph(format!(
        "First, always: controller in manual, a second person at the {}, every {} and high-level protection proved. {}",
        words::seen_at(described),
        words::low_protection(described.vessel.kind),
        words::behind_the_valves(described.vessel.kind),
    ))];
    match described.reference_leg {
        ReferenceLeg::Wet { .. } => wet(described, sheets, units, limits, &mut blocks),
        ReferenceLeg::Dry { .. } => dry(described, &mut blocks),
        ReferenceLeg::None => open(described, &mut blocks),
        ReferenceLeg::Sealed { .. } => sealed(described, &mut blocks),
    }
    blocks.push(paragraph(format!(
        "Valve names on this page: block = shuts one leg off from the cell; {}vent = lets a port out to the air. Tag the valves with these \
         words before the first use of this page.",
        if words::has_equaliser(&described.reference_leg) {
            "equaliser = joins the two ports of the cell; "
        } else {
            ""
        },
    )));
    // The orders of a manifold hang beside it: a page of their own.
    if words::has_equaliser(&described.reference_leg) {
        Part::page("Manifold orders", blocks)
    } else {
        Part::flow("Manifold orders", blocks)
    }
}

fn wet(
    described: &Loop,
    sheets: &Sheets,
    units: &DisplayUnits,
    limits: &Limits<'_>,
    blocks: &mut Vec<PackBlock>,
) {
    let equalised = sheets.range.equalised;
    let wanted = format!(
        "0 {} on the cell's display, ± {}",
        units.differential_unit(),
        limits.differential(limits.five_point.as_left_percent),
    );
    let as_current = if equalised.clipped {
        format!(
            "The signal wants {} there ({} of span) and is clipped at {}, so it cannot be used for the zero check.",
            current_text(equalised.wanted_ma),
            percent_text(equalised.percent),
            current_text(equalised.current_ma),
        )
    } else {
        format!(
            "The signal stands at {} there ({} of span).",
            current_text(equalised.current_ma),
            percent_text(equalised.percent),
        )
    };
    blocks.push(caution(
        "NEVER the equaliser open with both block valves open: the reference leg drains into the vessel, the reading goes false and steam \
         reaches the cell. At every moment of every order at least one of the three is shut.",
    ));
    let note = note(described);
    blocks.push(heading("Zero check in service: nothing is vented"));
    blocks.push(steps(vec![
        note.clone(),
        "Shut the working-leg block valve. The reference-leg block valve stays OPEN; no vent is touched.".into(),
        "Open the equaliser.".into(),
        format!(
            "Read the zero: {wanted}. {as_current} Trim only here, and write down static pressure and ambient temperature with the trim. \
             Keep it brief: a leaking working-leg block valve drains the reference leg.",
        ),
        "Shut the equaliser, and make sure that it is shut.".into(),
        "Open the working-leg block valve slowly. The cell is back in service: do NOT go on to the orders below.".into(),
        format!(
            "Wait until the panel has stood still for five minutes; compare with the {} as in the comparison step: within {}. Only then \
             controller to automatic.",
            words::seen_at(described),
            limits.level(limits.hot_comparison_m),
        ),
    ]));
    blocks.push(heading("Out of service, for work on the cell"));
    blocks.push(steps(vec![
        note,
        "Shut the working-leg block valve.".into(),
        "Shut the reference-leg block valve.".into(),
        "Open the equaliser.".into(),
        "Tag both block valves. Vent the cell slowly; wait until nothing comes and the cell is cool enough to touch. If it does not stop, a \
         block valve leaks: shut the vent and take the leg out at its root valve."
            .into(),
        "The leg stays full only as long as its block valve holds tight.".into(),
    ]));
    blocks.push(heading("Back into service, after the order above only"));
    blocks.push(steps(vec![
        "By hand: BOTH block valves are shut. Before that nobody loosens a vent.".into(),
        "PRE-FILL cell and manifold with clean cold water through the vents, equaliser open, until no air comes; shut the vents.".into(),
        "Open the reference-leg block valve slowly; the working-leg block valve is still shut.".into(),
        format!("Zero check: {wanted}. Trim as above."),
        "Shut the equaliser, and make sure that it is shut.".into(),
        "Open the working-leg block valve slowly.".into(),
        words::leg_refills(described.vessel.kind).into(),
        format!(
            "Compare the panel with the {} as in the comparison step: within {}. Only then controller to automatic.",
            words::seen_at(described),
            limits.level(limits.hot_comparison_m),
        ),
    ]));
    blocks.push(heading("Blowing down a leg"));
    blocks.push(paragraph(format!(
        "Only with the cell isolated at the manifold. A blown-down reference leg is hot and empty: the panel of this loop means nothing \
         until the leg has refilled and cooled ({}). Never blow down through the cell.",
        words::ports(described.cell.polarity),
    )));
}

/// First order of every list.
fn note(described: &Loop) -> String {
    format!(
        "Controller to manual; note output, panel level and {}.",
        if described.glass.is_some() {
            "glass level"
        } else {
            "measured level"
        },
    )
}

fn dry(described: &Loop, blocks: &mut Vec<PackBlock>) {
    blocks.push(caution(
        "NEVER the equaliser open with both block valves open: the vessel blows through the manifold and water enters the dry leg.",
    ));
    blocks.push(heading("Zero check in service: nothing is vented"));
    blocks.push(steps(vec![
        note(described),
        "Shut the working-leg block valve. The reference-leg block valve stays OPEN; no vent is touched.".into(),
        "Open the equaliser; read the zero on the cell's display as pressure.".into(),
        "Shut the equaliser, and make sure that it is shut.".into(),
        "Open the working-leg block valve slowly. Water that passed the equaliser stands in the dry leg until its trap has drained it; the \
         panel reads low meanwhile. The cell is back in service: do NOT go on to the orders below."
            .into(),
    ]));
    blocks.push(heading("Out of service, for work on the cell"));
    blocks.push(steps(vec![
        note(described),
        "Shut the working-leg block valve, then the reference-leg block valve.".into(),
        "Open the equaliser; tag both block valves; vent slowly.".into(),
    ]));
    blocks.push(heading("Back into service, after the order above only"));
    blocks.push(steps(vec![
        "By hand: BOTH block valves are shut. Before that nobody loosens a vent.".into(),
        "Drain the dry leg and its trap at the low point until nothing comes.".into(),
        "Equaliser open, vents shut: open the reference-leg block valve slowly; zero check.".into(),
        "Shut the equaliser; open the working-leg block valve slowly.".into(),
        format!(
            "Compare the panel with the {}; then controller to automatic.",
            words::seen_at(described)
        ),
    ]));
    blocks.push(paragraph(format!(
        "Ports of this loop: {}.",
        words::ports(described.cell.polarity)
    )));
}

fn open(described: &Loop, blocks: &mut Vec<PackBlock>) {
    blocks.push(caution(
        "NEVER plug the port that is open to the air: a shut-in port turns every change of temperature into level.",
    ));
    blocks.push(heading("Out of service"));
    blocks.push(steps(vec![
        note(described),
        "Shut the block valve at the tap.".into(),
        "Open the vent between block valve and cell slowly; let it run empty, then leave it open: zero check, 0 on the cell's display as \
         pressure at the level of the vent."
            .into(),
    ]));
    blocks.push(heading("Back into service"));
    blocks.push(steps(vec![
        "Crack the block valve and let water push the air out of the vent; shut the vent.".into(),
        "Open the block valve fully; vent once more.".into(),
        format!(
            "Compare the panel with the {}; then controller to automatic.",
            words::seen_at(described)
        ),
    ]));
    blocks.push(paragraph(format!(
        "Ports of this loop: {}.",
        words::ports(described.cell.polarity)
    )));
}

fn sealed(described: &Loop, blocks: &mut Vec<PackBlock>) {
    blocks.push(caution(
        "NEVER loosen a capillary or the cell's own flanges: the fill is lost and the cell is scrap. A sealed cell has no equaliser; it \
         cannot be zeroed at pressure.",
    ));
    blocks.push(heading("Out of service"));
    blocks.push(steps(vec![
        note(described),
        "Shut both valves between vessel and seals.".into(),
        "Vent the spaces between valves and seals through the flushing rings, slowly. The zero is checked now: both seals at the air.".into(),
    ]));
    blocks.push(heading("Back into service"));
    blocks.push(steps(vec![
        "Flushing rings shut; open the upper valve slowly, then the lower one: never the full pressure on one seal alone for longer than \
         the cell's one-sided limit allows."
            .into(),
        format!(
            "Compare the panel with the {}; then controller to automatic.",
            words::seen_at(described)
        ),
    ]));
    blocks.push(paragraph(format!(
        "Ports of this loop: {}.",
        words::ports(described.cell.polarity)
    )));
}
