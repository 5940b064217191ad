//! The register map, invented for this program: every address, once. The manual prints it and a test holds the two together.
//!
//! Numbers are IEEE 754 floats of 32 bits in two registers, the high word first, at even addresses; read and written whole.

use halfglass_core::dynamics::sample::Sample;
use halfglass_core::dynamics::scan::Mode;
use halfglass_core::dynamics::scenario::Happening;

/// Ten letters in the first five input registers.
pub const MARK: &[u8; 10] = b"SIMULATION";

/// A number that is read.
pub struct Reading {
    /// First of its two input registers.
    pub address: u16,
    /// What it is, with its unit.
    pub words: &'static str,
    /// Its value; NaN where there is none.
    pub of: fn(&Sample) -> f64,
}

const fn reading(address: u16, words: &'static str, of: fn(&Sample) -> f64) -> Reading {
    Reading { address, words, of }
}

/// Input registers behind the mark.
pub const READINGS: [Reading; 12] = [
    reading(10, "simulated time, s", |s| s.time_s),
    reading(12, "INDICATED level, m above the lower tap", |s| {
        s.indicated.m()
    }),
    reading(14, "current of the cell, mA", |s| s.current_ma),
    reading(16, "TRUE level, m above the lower tap", |s| {
        s.true_level.m()
    }),
    reading(
        18,
        "GLASS level, m above the lower tap; NaN: it shows none",
        |s| s.glass.map_or(f64::NAN, |glass| glass.m()),
    ),
    reading(20, "set point, m above the lower tap", |s| s.set_point.m()),
    reading(22, "pressure, Pa absolute", |s| s.pressure_pa),
    reading(24, "steam or water drawn, kg/s", |s| s.outflow_kg_s),
    reading(26, "feedwater, kg/s", |s| s.feed_kg_s),
    reading(28, "travel of the valve, % open", |s| s.travel_percent),
    reading(30, "output of the simulated controller, %", |s| {
        s.output_percent
    }),
    reading(32, "heat, W", |s| s.heat_w),
];

/// A bit that is read.
pub struct Sign {
    /// Discrete input.
    pub address: u16,
    /// What it says when set.
    pub words: &'static str,
    /// Is it set.
    pub of: fn(&Sample) -> bool,
}

const fn sign(address: u16, words: &'static str, of: fn(&Sample) -> bool) -> Sign {
    Sign { address, words, of }
}

/// Discrete inputs; whether the run has ended is told beside them.
pub const SIGNS: [Sign; 8] = [
    sign(0, "always set: this is a SIMULATION", |_| true),
    sign(1, "high-level trip stands", |s| s.standing.high_trip),
    sign(2, "high alarm stands", |s| s.standing.high_alarm),
    sign(3, "low alarm stands", |s| s.standing.low_alarm),
    sign(4, "first low-water cutoff stands", |s| s.standing.first_low),
    sign(5, "second low-water cutoff stands", |s| {
        s.standing.second_low
    }),
    sign(6, "burner locked out", |s| s.standing.locked_out),
    sign(7, "in hand", |s| s.mode == Mode::Hand),
];

/// Discrete input that is set once the vessel has left what the model knows.
pub const ENDED: (u16, &str) = (8, "the run has ended: the vessel left the model");

/// A number that is written.
pub struct Setting {
    /// First of its two holding registers.
    pub address: u16,
    /// What it is, with its unit.
    pub words: &'static str,
    /// Lowest and highest value taken.
    pub ends: (f64, f64),
}

const fn setting(address: u16, words: &'static str, ends: (f64, f64)) -> Setting {
    Setting {
        address,
        words,
        ends,
    }
}

/// Holding registers.
pub const SETTINGS: [Setting; 5] = [
    setting(
        0,
        "output by hand, %; writing it takes the loop into hand",
        (0.0, 100.0),
    ),
    setting(2, "set point, m above the lower tap", (-100.0, 100.0)),
    setting(4, "load, % of the largest duty", (0.0, 150.0)),
    setting(6, "time that a change of load takes, s", (0.0, 86_400.0)),
    setting(
        8,
        "water drawn besides the duty's blowdown, kg/s",
        (0.0, 1_000.0),
    ),
];

/// A switch.
pub struct Switch {
    /// Coil.
    pub address: u16,
    /// What it does when set.
    pub words: &'static str,
    /// What follows from setting it one way or the other; `None` for the one that needs the output as well.
    pub makes: fn(bool) -> Option<Happening>,
    /// How it stands at the start.
    pub at_start: bool,
}

/// Coils.
pub const SWITCHES: [Switch; 5] = [
    Switch {
        address: 0,
        words: "hand; cleared: the simulated controller is in automatic",
        makes: |set| (!set).then_some(Happening::Auto),
        at_start: false,
    },
    Switch {
        address: 1,
        words: "feed pump runs",
        makes: |runs| Some(Happening::Pump { runs }),
        at_start: true,
    },
    Switch {
        address: 2,
        words: "valve sticks where it is",
        makes: |stuck| Some(Happening::Valve { stuck }),
        at_start: false,
    },
    Switch {
        address: 3,
        words: "signal of the cell is lost",
        makes: |lost| Some(Happening::Signal { lost }),
        at_start: false,
    },
    Switch {
        address: 4,
        words: "heat let go; setting it resets a lockout where the level is back",
        makes: |lit| Some(Happening::Heat { lit }),
        at_start: true,
    },
];

/// A number as two registers, the high word first.
pub fn to_words(value: f64) -> [u16; 2] {
    let bits = (value as f32).to_bits();
    [(bits >> 16) as u16, (bits & 0xffff) as u16]
}

/// Two registers as a number.
pub fn from_words([high, low]: [u16; 2]) -> f64 {
    f64::from(f32::from_bits(u32::from(high) << 16 | u32::from(low)))
}

/// The map as the manual prints it.
pub fn as_table() -> String {
    let mut text =
        String::from("| what | function codes | address | meaning |\n|---|---|---|---|\n");
    let mut row = |kind: &str, codes: &str, address: String, words: &str| {
        text.push_str(&format!("| {kind} | {codes} | {address} | {words} |\n"));
    };
    row(
        "input registers",
        "04",
        "0 to 4".into(),
        "the ten letters `SIMULATION`",
    );
    for one in &READINGS {
        let pair = format!("{} and {}", one.address, one.address + 1);
        row("input registers", "04", pair, one.words);
    }
    for one in &SIGNS {
        row("discrete input", "02", one.address.to_string(), one.words);
    }
    row("discrete input", "02", ENDED.0.to_string(), ENDED.1);
    for one in &SETTINGS {
        let pair = format!("{} and {}", one.address, one.address + 1);
        let words = format!("{}; {} to {}", one.words, one.ends.0, one.ends.1);
        row("holding registers", "03, 16", pair, &words);
    }
    for one in &SWITCHES {
        row("coil", "01, 05, 15", one.address.to_string(), one.words);
    }
    text
}
