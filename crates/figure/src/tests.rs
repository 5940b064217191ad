//! What holds for every figure of every kind of loop.

use halfglass_core::description::Loop;
use halfglass_report::block::FigureId;
use halfglass_report::units::DisplayUnits;

use crate::fixture;
use crate::svg;

const ALL: [FigureId; 6] = [
    FigureId::LevelMap,
    FigureId::ErrorMap,
    FigureId::RangeChart,
    FigureId::GlassCard,
    FigureId::TuningResponse,
    FigureId::TuningWindow,
];

fn loops() -> Vec<(&'static str, Loop)> {
    vec![
        ("inherited-boiler", fixture::inherited_boiler()),
        ("standing-tank", fixture::standing_tank()),
        ("sealed-deaerator", fixture::sealed_deaerator()),
        ("dry-leg-deaerator", fixture::dry_leg_deaerator()),
        ("drum", fixture::drum_boiler()),
        ("vented-tank", fixture::vented_tank()),
    ]
}

#[test]
fn zz_write() {
    let Ok(folder) = std::env::var("FIGURES") else {
        return;
    };
    for (name, described) in loops() {
        let sheets = fixture::sheets(&described);
        let units = DisplayUnits::of(&described);
        for id in ALL {
            std::fs::write(
                format!("{folder}/{name}-{}.svg", id.stem()),
                svg(id, &described, &sheets, &units),
            )
            .unwrap();
        }
    }
}
