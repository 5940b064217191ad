//! Loops to draw: the example loop files, and variants of them with the legs and shells that the examples lack.

use std::path::Path;
use std::sync::LazyLock;

use halfglass_core::description::wiring::Wiring;
use halfglass_core::description::{Loop, ReferenceLeg, VesselKind};
use halfglass_core::design::{Sheets, design};
use halfglass_core::vessel::{HeadKind, Orientation, Shell};
use halfglass_core::water::FillFluid;

// The report's: one invented water side for both crates.
#[path = "../../report/src/fixture/feedwater_sheet.rs"]
mod feedwater_sheet;
#[path = "../../report/src/fixture/water_side.rs"]
mod water_side;
#[path = "../../report/src/fixture/wires_sheets.rs"]
mod wires_sheets;

/// A loop and its sheets.
pub(crate) struct Case {
    pub(crate) name: &'static str,
    pub(crate) described: Loop,
    pub(crate) sheets: Sheets,
}

/// The boiler with water side, wires and uncertainties.
pub(crate) const FULL: &str = "fully-surveyed-boiler";
/// A tank with no more wires than there must be, and long words.
pub(crate) const SPARSE: &str = "sparsely-wired-tank";

/// All of them. The sheets are computed once for all tests, side by side: unoptimised, tuning takes seconds a loop.
pub(crate) fn cases() -> &'static [Case] {
    static CASES: LazyLock<Vec<Case>> = LazyLock::new(|| {
        [
            ("inherited-cold-range", example("inherited-cold-range")),
            ("laundry-shell-boiler", example("laundry-shell-boiler")),
            ("paper-mill-drum-boiler", example("paper-mill-drum-boiler")),
            ("district-deaerator", example("district-deaerator")),
            ("brewery-feed-tank", example("brewery-feed-tank")),
            ("dry-leg-deaerator", dry_leg_deaerator()),
            ("sealed-deaerator", sealed_deaerator()),
            ("lying-feed-tank", lying_feed_tank()),
            (FULL, example("laundry-shell-boiler")),
            (SPARSE, sparsely_wired()),
        ]
        .map(|(name, described)| {
            let work = std::thread::spawn(move || {
                let mut sheets = design(&described).expect(name);
                let mut described = described;
                // Filled in by hand, so that every part of a drawing is there whatever the examples have.
                if [FULL, SPARSE].contains(&name) {
                    described.feed_system = Some(water_side::feed_system());
                    described.uncertainty = water_side::uncertainty();
                    described.wiring = Some(if name == FULL {
                        water_side::wiring()
                    } else {
                        sparse_wires()
                    });
                    sheets.feedwater = Some(feedwater_sheet::feedwater_sheet());
                    sheets.wiring = Some(wires_sheets::wiring_sheet());
                    sheets.uncertainty = Some(wires_sheets::uncertainty_sheet(name == FULL));
                }
                Case {
                    name,
                    sheets,
                    described,
                }
            });
            (name, work)
        })
        .map(|(name, work)| work.join().expect(name))
        .into()
    });
    &CASES
}

/// One of them by name.
pub(crate) fn case(name: &str) -> &'static Case {
    cases().iter().find(|c| c.name == name).expect(name)
}

fn example(name: &str) -> Loop {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../examples/{name}.toml"));
    let bytes = std::fs::read(&path).expect(name);
    halfglass_loopfile::read(&bytes).expect(name)
}

/// The deaerator with a gas-filled leg. Invented.
fn dry_leg_deaerator() -> Loop {
    let mut described = example("district-deaerator");
    described.reference_leg = ReferenceLeg::Dry {
        temperature_k: 333.15,
    };
    described
}

/// The deaerator with diaphragm seals and without a glass. Invented.
fn sealed_deaerator() -> Loop {
    let mut described = example("district-deaerator");
    let upper_seal_m = described.elevations.upper_tap_m.expect("has an upper tap");
    described.reference_leg = ReferenceLeg::Sealed {
        lower_seal_m: 0.0,
        upper_seal_m,
        fluid: FillFluid::silicone_oil_50_cst(),
        reference_capillary_k: 298.15,
        working_capillary_k: 298.15,
    };
    described.glass = None;
    described
}

/// The feed tank as a lying vessel with dished heads. Invented.
fn lying_feed_tank() -> Loop {
    let mut described = example("brewery-feed-tank");
    assert_eq!(described.vessel.kind, VesselKind::VentedTank);
    let height_m = described.vessel.shell.height_m();
    described.vessel.shell = Shell::new(
        Orientation::Horizontal,
        height_m,
        3.0,
        HeadKind::Ellipsoidal2To1,
    )
    .expect("a sound shell");
    described
}

/// The tank under a tag that follows no standard. Invented.
fn sparsely_wired() -> Loop {
    let mut described = example("brewery-feed-tank");
    described.identity.tag = "hot liquor tank number four".into();
    described
}

/// One receiver that also supplies the cell, the shield earthed in the field. Invented.
fn sparse_wires() -> Wiring {
    let mut wires = water_side::wiring();
    wires.powered_by_controller = true;
    wires.barrier = None;
    wires.output = None;
    wires.cable.mark = String::new();
    wires.shield_earth = "at the cell, on the gland plate of the junction box beside it".into();
    wires.receivers.truncate(1);
    wires.receivers[0].name = "input three of the brewhouse controller".into();
    wires
}
