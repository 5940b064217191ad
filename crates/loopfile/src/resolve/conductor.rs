//! A conductor as a person writes it: `18 AWG stranded`, `1.5 mm2 flexible tinned`, `25 ohm/km`.

use halfglass_core::description::wiring::Conductor;

/// Gauges of loop wiring.
const GAUGES: [u8; 9] = [10, 12, 14, 16, 18, 20, 22, 24, 26];
/// Cross sections of IEC 60228 that loop wiring has, mm2.
const AREAS: [(&str, f64); 5] = [
    ("0.5", 0.5),
    ("0.75", 0.75),
    ("1", 1.0),
    ("1.5", 1.5),
    ("2.5", 2.5),
];
/// Resistance of conductors that anybody would lay, ohm/km.
const OHM_PER_KM: std::ops::RangeInclusive<f64> = 0.1..=2000.0;

/// The conductor, or why there is none such.
pub(super) fn conductor(text: &str) -> Result<Conductor, &'static str> {
    // A unit may stand at its number or apart from it.
    let spaced = text
        .replace("AWG", " AWG ")
        .replace("mm2", " mm2 ")
        .replace("ohm/km", " ohm/km ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    match words[..] {
        [number, "AWG", ref make @ ..] | ["AWG", number, ref make @ ..] => {
            let gauge = GAUGES
                .into_iter()
                .find(|gauge| gauge.to_string() == number)
                .ok_or("gauges are 10 to 26 AWG, the even ones")?;
            match make {
                ["stranded"] => Ok(Conductor::Awg {
                    gauge,
                    stranded: true,
                }),
                ["solid"] => Ok(Conductor::Awg {
                    gauge,
                    stranded: false,
                }),
                _ => Err("after the gauge stands stranded or solid"),
            }
        }
        [number, "mm2", ref make @ ..] => {
            let area_mm2 = AREAS
                .into_iter()
                .find(|(known, area)| {
                    *known == number || number.parse().is_ok_and(|n: f64| (n - area).abs() < 1e-9)
                })
                .map(|(_, area)| area)
                .ok_or("cross sections are 0.5, 0.75, 1, 1.5 and 2.5 mm2")?;
            let (flexible, tinned) = match make {
                [] => (false, false),
                ["flexible"] => (true, false),
                ["tinned"] => (false, true),
                ["flexible", "tinned"] | ["tinned", "flexible"] => (true, true),
                _ => {
                    return Err(
                        "after the cross section stands nothing, flexible, tinned, or both",
                    );
                }
            };
            Ok(Conductor::Metric {
                area_mm2,
                flexible,
                tinned,
            })
        }
        [number, "ohm/km"] => {
            let ohm_per_km: f64 = number.parse().map_err(|_| "that is no number")?;
            if !OHM_PER_KM.contains(&ohm_per_km) {
                return Err("no conductor of a loop has less than 0.1 or more than 2000 ohm/km");
            }
            Ok(Conductor::Stated {
                ohm_per_m: ohm_per_km / 1000.0,
            })
        }
        _ => Err("it is neither a gauge, nor a cross section, nor a resistance"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn practice_conductors_as_written() {
        let awg = |gauge, stranded| Ok(Conductor::Awg { gauge, stranded });
        let metric = |area_mm2, flexible, tinned| {
            Ok(Conductor::Metric {
                area_mm2,
                flexible,
                tinned,
            })
        };
        for (text, expected) in [
            ("18 AWG stranded", awg(18, true)),
            ("AWG 22 solid", awg(22, false)),
            ("16AWG stranded", awg(16, true)),
            ("1.5 mm2", metric(1.5, false, false)),
            ("1.0 mm2", metric(1.0, false, false)),
            ("0.75mm2 flexible", metric(0.75, true, false)),
            ("1.5 mm2 tinned", metric(1.5, false, true)),
            ("1.5 mm2 flexible tinned", metric(1.5, true, true)),
            ("25 ohm/km", Ok(Conductor::Stated { ohm_per_m: 0.025 })),
        ] {
            assert_eq!(conductor(text), expected, "{text}");
        }
    }

    #[test]
    fn practice_what_is_no_conductor() {
        for text in [
            "18 AWG",
            "19 AWG solid",
            "18 AWG tinned",
            "1.3 mm2",
            "1.5 mm2 stranded",
            "1.5",
            "x ohm/km",
            "NaN ohm/km",
            "0 ohm/km",
            "copper",
            "",
        ] {
            assert!(conductor(text).is_err(), "{text}");
        }
    }
}
