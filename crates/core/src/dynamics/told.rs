//! Events in words, without numbers that the report gives in the loop's units.

use super::scenario::Happening;

/// An event in words.
pub(super) fn words(happening: Happening) -> String {
    match happening {
        Happening::Load { share_ratio, .. } => {
            format!("load to {:.0} % of the largest duty", 100.0 * share_ratio)
        }
        Happening::FeedTemperature { .. } => "feedwater of another temperature".into(),
        Happening::Pump { runs: true } => "feed pump runs again".into(),
        Happening::Pump { runs: false } => "feed pump stops".into(),
        Happening::Valve { stuck: true } => "valve sticks".into(),
        Happening::Valve { stuck: false } => "valve comes free".into(),
        Happening::Signal { lost: true } => "signal lost".into(),
        Happening::Signal { lost: false } => "signal back".into(),
        Happening::ReferenceLeg { .. } => "reference leg of another temperature".into(),
        Happening::SetPoint { .. } => "set point moved".into(),
        Happening::Hand { output_percent } => format!("hand at {output_percent:.0} %"),
        Happening::Auto => "auto".into(),
        Happening::Blowdown { .. } => "blowdown".into(),
        Happening::Foam { share_ratio } if share_ratio < 1.0 => {
            format!(
                "foam: bubbles rise at {:.0} % of their speed",
                100.0 * share_ratio
            )
        }
        Happening::Foam { .. } => "foam gone".into(),
        Happening::Heat { lit: true } => "heat let go".into(),
        Happening::Heat { lit: false } => "heat off".into(),
    }
}
