//! The feedwater valve: duties, choice, actuator, leakage and what stands around it.

mod choice;
mod duties;
mod station;

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::feedwater::sheets::{Cavitation, FlowRegime};

use super::{findings_in_short, not_made, sentence};
use crate::block::{Block, Section};
use crate::cautions;
use crate::units::DisplayUnits;

pub(super) fn section(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Section {
    let title = "Feedwater valve".to_owned();
    let Some(sheet) = &sheets.feedwater else {
        return not_made(
            "feedwater",
            title,
            "the loop file describes no water side, so no valve is sized and the flow of the open valve stays what the survey states or assumes. \
             Add the supply (the pump's curve and its suction, or the header's pressure), the line (friction at one flow or pipe data, heights), the \
             valve (style, characteristic, sizes to choose from or the one fitted) and its actuator; the manual's list of keys names each.",
        );
    };
    let mut blocks = vec![Block::paragraph(format!(
        "{}: {}, rated {}. {}",
        if sheet.is_fitted { "Fitted" } else { "Chosen" },
        sheet.chosen_name,
        units.coefficient_text(sheet.chosen_kv_m3_h),
        begun_large(&sentence(&sheet.choice_words)),
    ))];
    blocks.extend(choice::figure(sheet));
    blocks.extend(duties::blocks(sheet, units));
    blocks.extend(choice::blocks(sheet, units));
    blocks.extend(station::blocks(described, sheet, units));
    blocks.extend(findings_in_short(&sheet.findings));
    blocks.push(Block::caution(cautions::TRIPS_ARE_INDEPENDENT));
    blocks.push(Block::caution(cautions::WHO_DECIDES));
    Section {
        id: "feedwater",
        title,
        blocks,
    }
}

/// The same words with a capital first.
fn begun_large(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// What the drop does to the water.
pub(crate) const fn cavitation(cavitation: Cavitation) -> &'static str {
    match cavitation {
        Cavitation::None => "none",
        Cavitation::Incipient => "incipient",
        Cavitation::Developed => "developed",
        Cavitation::Severe => "severe",
        Cavitation::Flashing => "flashing",
    }
}

/// How the water flows.
pub(crate) const fn regime(regime: FlowRegime) -> &'static str {
    match regime {
        FlowRegime::None => "no flow",
        FlowRegime::Turbulent => "turbulent",
        FlowRegime::Choked => "choked",
        FlowRegime::Transitional => "transitional",
        FlowRegime::Laminar => "laminar",
    }
}
