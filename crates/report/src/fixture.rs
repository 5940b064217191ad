//! Loops with sheets for the tests of this crate: the examples with the sheets that the core makes of them, and invented
//! ones filled in by hand so that every part of the report has something to print. Nothing in the latter checks a number.

mod by_hand;
mod feedwater_sheet;
mod shell_boiler;
mod water_side;
mod wires_sheets;

use std::path::Path;
use std::sync::OnceLock;

use halfglass_core::description::{
    Elevations, Loop, Polarity, ReferenceLeg, Reversal, UnitSystem, VesselKind,
};
use halfglass_core::design::{Sheets, design};
use halfglass_core::quantity::{AbsolutePressure, LevelSpan};
use halfglass_core::vessel::Internals;
use halfglass_core::water::FillFluid;

use by_hand::full_sheets;
use shell_boiler::shell_boiler;

const ATMOSPHERE: AbsolutePressure = AbsolutePressure::from_pa(101_325.0);
const NORMAL: AbsolutePressure = AbsolutePressure::from_pa(963_169.7);
const SPAN: LevelSpan = LevelSpan {
    at_0_percent_m: 0.0,
    at_100_percent_m: 0.762,
};

/// The examples that a reader of the manual runs, by file stem, with the sheets that the core makes of them.
/// Made once: unoptimised the core takes seconds.
fn examples() -> &'static [(String, (Loop, Sheets))] {
    static EXAMPLES: OnceLock<Vec<(String, (Loop, Sheets))>> = OnceLock::new();
    EXAMPLES.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
        let mut files: Vec<_> = std::fs::read_dir(folder)
            .expect("examples are there")
            .map(|entry| entry.expect("an entry of the folder").path())
            .filter(|path| path.extension().is_some_and(|kind| kind == "toml"))
            .collect();
        files.sort();
        assert!(files.len() >= 5, "only {} examples", files.len());
        files.iter().map(|file| example(file)).collect()
    })
}

fn read(file: &Path) -> Loop {
    let bytes = std::fs::read(file).expect("the example can be read");
    halfglass_loopfile::read(&bytes)
        .unwrap_or_else(|problems| panic!("{}: {problems:?}", file.display()))
}

/// The loop of an example by its file stem, without sheets.
pub(crate) fn example_loop(stem: &str) -> Loop {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    read(&folder.join(stem).with_extension("toml"))
}

fn example(file: &Path) -> (String, (Loop, Sheets)) {
    let described = read(file);
    let sheets = design(&described).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    let stem = file.file_stem().expect("a file name").to_string_lossy();
    (stem.into_owned(), (described, sheets))
}

/// One example by its file stem.
pub(crate) fn example_named(stem: &str) -> (Loop, Sheets) {
    let found = examples().iter().find(|(name, _)| name == stem);
    found.expect("the example exists").1.clone()
}

/// Every loop of the tests: real examples and the extremes below.
pub(crate) fn all() -> Vec<(Loop, Sheets)> {
    let mut all: Vec<_> = examples().iter().map(|(_, both)| both.clone()).collect();
    all.extend([full(), bare(), fitted_rotary(), tested()]);
    all.extend(other_legs());
    all
}

/// A shell boiler with everything that a loop file can say.
pub(crate) fn full() -> (Loop, Sheets) {
    let mut described = shell_boiler();
    described.feed_system = Some(water_side::feed_system());
    described.wiring = Some(water_side::wiring());
    described.uncertainty = water_side::uncertainty();
    let mut sheets = full_sheets(&described);
    sheets.feedwater = Some(feedwater_sheet::feedwater_sheet());
    sheets.wiring = Some(wires_sheets::wiring_sheet());
    sheets.uncertainty = Some(wires_sheets::uncertainty_sheet(true));
    (described, sheets)
}

/// A real example whose process was measured. Invented.
fn tested() -> (Loop, Sheets) {
    use halfglass_core::description::{MeasuredProcess, PlantTest};
    let mut described = examples()[0].1.0.clone();
    described.measured = Some(MeasuredProcess {
        test: PlantTest::Bump,
        date: "2026-11-26".into(),
        duty: described.duties[0].name.clone(),
        span_time_s: 2_000.0,
        delay_s: 30.0,
    });
    let sheets = halfglass_core::design::design(&described).expect("the example computes");
    (described, sheets)
}

/// A header, a rotary valve that is fitted, and no more than the wires must have. Invented.
fn fitted_rotary() -> (Loop, Sheets) {
    use halfglass_core::description::feed_system::{
        Actuator, Characteristic, Header, Loss, Supply,
    };
    let (mut described, mut sheets) = full();
    described.identity.tag = "level of tank 4".into();
    if let Some(system) = &mut described.feed_system {
        system.supply = Supply::Header(Header {
            pressure: AbsolutePressure::from_pa(500_000.0),
            droop: None,
        });
        system.actuator = Actuator::Rotary {
            rated_torque_n_m: 60.0,
            breakaway_torque_n_m: 30.0,
            running_torque_n_m: 12.0,
        };
        system.valve.fitted = system.valve.sizes.first().cloned();
        system.valve.characteristic =
            Characteristic::Table(vec![(0.0, 0.02), (0.5, 0.2), (1.0, 1.0)]);
        system
            .line
            .parts
            .retain(|part| matches!(part.loss, Loss::Reference(_)));
        system.returns.clear();
    }
    if let Some(wires) = &mut described.wiring {
        wires.barrier = None;
        wires.output = None;
        wires.actuator_supply = None;
        wires.powered_by_controller = true;
    }
    if let Some(sheet) = &mut sheets.feedwater {
        sheet.is_fitted = true;
        sheet.actuator.is_torque = true;
        sheet.leakage = None;
        sheet.minimum_flow = None;
        sheet.returns.clear();
        for duty in &mut sheet.duties {
            duty.pump_flow_m3_s = None;
            duty.travel_percent = None;
            duty.installed_gain_ratio = None;
            duty.flashing = true;
        }
    }
    if let Some(sheet) = &mut sheets.wiring {
        sheet.actuator = None;
        sheet.output = None;
        sheet.signal.clip_current_ma = None;
        sheet.signal.burden_least_ohm = None;
    }
    sheets.uncertainty = Some(wires_sheets::uncertainty_sheet(false));
    (described, sheets)
}

/// A vented tank with as little as a loop file can say; unbounded and unstable figures.
pub(crate) fn bare() -> (Loop, Sheets) {
    let mut described = shell_boiler();
    described.identity.units = UnitSystem::Si;
    described.vessel.kind = VesselKind::VentedTank;
    described.vessel.water_temperature_k = Some(353.15);
    described.vessel.internals = Internals::none();
    described.reference_leg = ReferenceLeg::None;
    described.elevations = Elevations {
        upper_tap_m: None,
        highest_heated_surface_m: None,
        overflow_m: Some(0.9),
    };
    described.feed_system = None;
    described.wiring = None;
    described.uncertainty.inputs.clear();
    described.glass = None;
    described.as_found = None;
    described.people = Vec::new();
    described.instruments = Vec::new();
    described.assumptions = Vec::new();
    described.identity.notes = Vec::new();
    described.controller.device_marks = Vec::new();
    let mut sheets = full_sheets(&described);
    sheets.range.as_found = None;
    sheets.range.pot_lip_sensitivity_ratio = None;
    sheets.error_map.compensation = None;
    sheets.error_map.glass_card = Vec::new();
    sheets.error_map.glass_water_k = None;
    sheets.settings.gain_rescale_ratio = None;
    sheets.tuning.slowest = None;
    sheets.tuning.as_found = None;
    sheets.tuning.chosen.gain_margin_ratio = f64::INFINITY;
    sheets.tuning.habit.stable = false;
    sheets.tuning.habit.max_sensitivity_ratio = f64::INFINITY;
    sheets.signal_loss.cold_fill = None;
    sheets.signal_loss.cool_down = None;
    sheets.findings = Vec::new();
    sheets.assumptions = Vec::new();
    (described, sheets)
}

/// Loops whose reference leg differs, with the same sheets.
pub(crate) fn other_legs() -> Vec<(Loop, Sheets)> {
    let sealed = ReferenceLeg::Sealed {
        lower_seal_m: 0.0,
        upper_seal_m: 0.8,
        fluid: FillFluid::silicone_oil_50_cst(),
        reference_capillary_k: 300.0,
        working_capillary_k: 305.0,
    };
    let dry = ReferenceLeg::Dry {
        temperature_k: 320.0,
    };
    [sealed, dry]
        .into_iter()
        .map(|leg| {
            let mut described = shell_boiler();
            described.reference_leg = leg;
            described.cell.polarity = Polarity::WetLegOnHigh;
            described.cell.reversal = Reversal::InController;
            let sheets = full_sheets(&described);
            (described, sheets)
        })
        .collect()
}
