//! Invented example values that fit each other, one set for each kind of vessel. Common practice in their sizes,
//! no vessel in particular.

use halfglass_core::description::{UnitSystem, VesselKind};

use crate::keys::Key;

/// Path, in US units, in SI units.
type Row = (&'static str, &'static str, &'static str);

/// The invented value of a key; where a kind of vessel has none of its own, the key's example, which is a shell
/// boiler's.
pub(super) fn invented(kind: VesselKind, units: UnitSystem, key: &Key) -> &'static str {
    let own = match kind {
        VesselKind::ShellBoiler => SHELL_BOILER,
        VesselKind::DrumBoiler => DRUM_BOILER,
        VesselKind::Deaerator => DEAERATOR,
        VesselKind::VentedTank => VENTED_TANK,
    };
    let row = own.iter().find(|(path, _, _)| *path == key.path);
    let (us, si) = row.map_or((key.us, key.si), |(_, us, si)| (*us, *si));
    match units {
        UnitSystem::Us => us,
        UnitSystem::Si => si,
    }
}

const SHELL_BOILER: &[Row] = &[
    ("glass.lower-connection", "3 in", "75 mm"),
    ("glass.visible-bottom", "5 in", "125 mm"),
];

const DRUM_BOILER: &[Row] = &[
    ("loop.tag", "LIC-310", "LIC-310"),
    (
        "loop.service",
        "Drum level, boiler 3",
        "Drum level, boiler 3",
    ),
    ("vessel.inside-diameter", "48 in", "1200 mm"),
    ("vessel.length", "13 ft", "4 m"),
    ("vessel.heads", "ellipsoidal", "ellipsoidal"),
    ("vessel.lower-tap-above-bottom", "12 in", "300 mm"),
    ("vessel.internals.height", "4 in", "100 mm"),
    ("vessel.internals.displaced", "10 %", "10 %"),
    ("elevations.upper-tap", "24 in", "600 mm"),
    ("elevations.highest-heated-surface", "-2 1/2 in", "-60 mm"),
    ("elevations.overflow", "23 in", "590 mm"),
    ("reference-leg.pot-lip", "24 1/2 in", "610 mm"),
    ("reference-leg.upper-seal", "24 in", "600 mm"),
    ("glass.lower-connection", "1 in", "20 mm"),
    ("glass.visible-bottom", "2 in", "50 mm"),
    ("glass.visible-top", "22 in", "550 mm"),
    ("cell.below-lower-tap", "15 ft", "4.5 m"),
    ("range.level-at-100", "24 in", "600 mm"),
    ("pressures.lowest-sustained", "320 psi(g)", "22 bar(g)"),
    ("pressures.normal", "360 psi(g)", "25 bar(g)"),
    ("pressures.highest", "385 psi(g)", "26.5 bar(g)"),
    ("pressures.safety-valve", "410 psi(g)", "28 bar(g)"),
    ("duty.outflow", "26000 lb/h", "12 t/h"),
    ("duty.feed-temperature", "221 degF", "105 degC"),
    ("duty.pressure", "360 psi(g)", "25 bar(g)"),
    ("feedwater.full-valve-flow", "36000 lb/h", "16.5 t/h"),
    ("feedwater.swell-time", "15 s", "15 s"),
    ("limits.set-point", "11 in", "275 mm"),
    ("limits.low-alarm", "7 in", "180 mm"),
    ("limits.high-alarm", "15 1/2 in", "390 mm"),
    ("limits.low-cutoff", "4 1/2 in", "115 mm"),
    ("limits.second-low-cutoff", "3 in", "80 mm"),
    ("limits.high-trip", "18 1/2 in", "470 mm"),
    ("as-found.range-low", "-24 1/2 inH2O(68 degF)", "-6.1 kPa"),
];

const DEAERATOR: &[Row] = &[
    ("supply.kind", "header", "header"),
    ("loop.tag", "LIC-020", "LIC-020"),
    (
        "loop.service",
        "Make-up to the deaerator",
        "Make-up to the deaerator",
    ),
    ("vessel.inside-diameter", "94 in", "2400 mm"),
    ("vessel.length", "23 ft", "7 m"),
    ("vessel.heads", "torispherical", "torispherical"),
    ("vessel.lower-tap-above-bottom", "16 in", "400 mm"),
    ("vessel.internals.height", "20 in", "500 mm"),
    ("vessel.internals.displaced", "2 %", "2 %"),
    ("elevations.upper-tap", "63 in", "1600 mm"),
    ("elevations.overflow", "61 in", "1550 mm"),
    ("reference-leg.pot-lip", "63 1/2 in", "1610 mm"),
    ("reference-leg.temperature", "140 degF", "60 degC"),
    ("reference-leg.lowest-temperature", "105 degF", "40 degC"),
    ("reference-leg.highest-temperature", "165 degF", "75 degC"),
    ("reference-leg.upper-seal", "63 in", "1600 mm"),
    ("glass.lower-connection", "2 in", "50 mm"),
    ("glass.visible-bottom", "4 in", "100 mm"),
    ("glass.visible-top", "59 in", "1500 mm"),
    ("glass.water-temperature", "140 degF", "60 degC"),
    ("cell.below-lower-tap", "4 ft", "1.2 m"),
    ("cell.lower-range-limit", "-250 inH2O(68 degF)", "-62 kPa"),
    ("cell.upper-range-limit", "250 inH2O(68 degF)", "62 kPa"),
    ("cell.minimum-span", "5 inH2O(68 degF)", "1.2 kPa"),
    ("cell.static-limit", "500 psi(g)", "40 bar(g)"),
    ("range.level-at-100", "63 in", "1600 mm"),
    ("pressures.lowest-sustained", "1.5 psi(g)", "0.1 bar(g)"),
    ("pressures.normal", "3 psi(g)", "0.2 bar(g)"),
    ("pressures.highest", "5 psi(g)", "0.35 bar(g)"),
    ("pressures.safety-valve", "7 psi(g)", "0.5 bar(g)"),
    ("duty.outflow", "70000 lb/h", "32 t/h"),
    ("duty.blowdown", "0 %", "0 %"),
    ("duty.feed-temperature", "158 degF", "70 degC"),
    ("duty.pressure", "3 psi(g)", "0.2 bar(g)"),
    ("feedwater.full-valve-flow", "90000 lb/h", "42 m3/h"),
    ("feedwater.swell-time", "5 s", "5 s"),
    ("limits.set-point", "40 in", "1000 mm"),
    ("limits.low-alarm", "28 in", "700 mm"),
    ("limits.high-alarm", "49 in", "1250 mm"),
    ("limits.low-cutoff", "16 in", "400 mm"),
    ("limits.second-low-cutoff", "12 in", "300 mm"),
    ("limits.high-trip", "56 in", "1420 mm"),
    ("limits.allowed-deviation", "5 in", "120 mm"),
    ("as-found.range-low", "-63 1/2 inH2O(68 degF)", "-15.8 kPa"),
];

const VENTED_TANK: &[Row] = &[
    ("supply.kind", "header", "header"),
    ("loop.tag", "LIC-005", "LIC-005"),
    (
        "loop.service",
        "Make-up to the feed tank",
        "Make-up to the feed tank",
    ),
    ("vessel.orientation", "vertical", "vertical"),
    ("vessel.inside-diameter", "86 in", "2200 mm"),
    ("vessel.length", "126 in", "3200 mm"),
    ("vessel.lower-tap-above-bottom", "10 in", "250 mm"),
    ("vessel.water-temperature", "185 degF", "85 degC"),
    ("vessel.internals.height", "10 in", "250 mm"),
    ("vessel.internals.displaced", "2 %", "2 %"),
    ("elevations.upper-tap", "108 in", "2750 mm"),
    ("elevations.overflow", "108 in", "2750 mm"),
    ("reference-leg.kind", "none", "none"),
    ("reference-leg.upper-seal", "108 in", "2750 mm"),
    ("working-leg.temperature", "86 degF", "30 degC"),
    ("glass.lower-connection", "4 in", "100 mm"),
    ("glass.visible-bottom", "6 in", "150 mm"),
    ("glass.visible-top", "104 in", "2650 mm"),
    ("glass.water-temperature", "122 degF", "50 degC"),
    ("cell.below-lower-tap", "8 in", "200 mm"),
    ("cell.lower-range-limit", "-160 inH2O(68 degF)", "-40 kPa"),
    ("cell.upper-range-limit", "160 inH2O(68 degF)", "40 kPa"),
    ("cell.minimum-span", "8 inH2O(68 degF)", "2 kPa"),
    ("cell.static-limit", "500 psi(g)", "40 bar(g)"),
    ("range.level-at-100", "102 in", "2600 mm"),
    ("duty.outflow", "20000 lb/h", "9 t/h"),
    ("duty.blowdown", "0 %", "0 %"),
    ("duty.feed-temperature", "113 degF", "45 degC"),
    ("feedwater.full-valve-flow", "28000 lb/h", "13 m3/h"),
    ("feedwater.swell-time", "0 s", "0 s"),
    ("limits.set-point", "67 in", "1700 mm"),
    ("limits.low-alarm", "35 in", "900 mm"),
    ("limits.high-alarm", "87 in", "2200 mm"),
    ("limits.low-cutoff", "16 in", "400 mm"),
    ("limits.second-low-cutoff", "12 in", "300 mm"),
    ("limits.high-trip", "98 in", "2500 mm"),
    ("limits.allowed-deviation", "8 in", "200 mm"),
    ("as-found.range-low", "0 inH2O(68 degF)", "0 kPa"),
    ("as-found.range-high", "100 inH2O(68 degF)", "25 kPa"),
];
