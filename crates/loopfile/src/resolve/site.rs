//! Names, print choices, and where the vessel stands.

use halfglass_core::description::{Identity, Paper, Site, UnitSystem};
use halfglass_core::quantity::{AbsolutePressure, WaterColumn};
use halfglass_core::site::{
    STANDARD_GRAVITY_M_S2, local_gravity_m_s2, standard_atmosphere_pressure_pa,
};

use crate::problem::Problem;
use crate::quantity_text::{Basis, Dimension};
use crate::survey::Survey;
use crate::words;

/// Coldest and warmest air that a vessel may stand in, K.
const AMBIENT_K: std::ops::RangeInclusive<f64> = 213.15..=343.15;
/// Lowest shore (Dead Sea) and highest settlement on earth, with some room, m.
const ALTITUDE_M: std::ops::RangeInclusive<f64> = -430.0..=6000.0;

pub(super) fn identity(survey: &mut Survey<'_>) -> Option<Identity> {
    let column = survey.word_or(
        "loop.water-column",
        "68 degF",
        "what instruments usually mean; the cell and the calibrator must be set to the same, or the range is off by up to 0.18 %",
    );
    if survey.is_absent("loop.paper") {
        let paper = match survey.units {
            UnitSystem::Us => "letter",
            UnitSystem::Si => "a4",
        };
        survey.assume(
            "loop.paper",
            paper.to_owned(),
            "not stated; the usual paper where these units are used",
        );
    }
    let paper = match survey.word("loop.paper").map(|word| word.value) {
        Some("letter") => Paper::Letter,
        Some(_) => Paper::A4,
        None if matches!(survey.units, UnitSystem::Us) => Paper::Letter,
        None => Paper::A4,
    };
    Some(Identity {
        tag: survey.text("loop.tag")?.value,
        service: survey.text("loop.service")?.value,
        plant: survey.text("loop.plant")?.value,
        revision: survey.text("loop.revision")?.value,
        units: survey.units,
        water_column: match column? {
            "60 degF" => WaterColumn::At60DegF,
            "4 degC" => WaterColumn::At4DegC,
            "conventional" => WaterColumn::Conventional,
            _ => WaterColumn::At68DegF,
        },
        paper,
        notes: survey.texts("loop.notes"),
    })
}

/// Also sets the survey's atmosphere, from which gauge pressures count.
pub(super) fn site(survey: &mut Survey<'_>) -> Option<Site> {
    let altitude_m = survey.number_or(
        "site.altitude",
        0.0,
        "not surveyed; it sets the local atmosphere, from which gauge pressures count",
    );
    let altitude_m = altitude_m.filter(|_| altitude_is_possible(survey));
    let atmosphere = atmosphere(survey, altitude_m);
    if let Some(atmosphere) = atmosphere {
        survey.atmosphere = atmosphere;
    }
    let gravity_m_s2 = gravity(survey, altitude_m);
    let lowest = survey.number_or(
        "site.ambient-lowest",
        283.15,
        "not surveyed; common for a boiler house",
    );
    let highest = survey.number_or(
        "site.ambient-highest",
        313.15,
        "not surveyed; common for a boiler house",
    );
    for path in ["site.ambient-lowest", "site.ambient-highest"] {
        if let Some(found) = survey.number(path)
            && !AMBIENT_K.contains(&found.value)
        {
            survey.problems.push(
                Problem::new(
                    "ambient-implausible",
                    format!(
                        "`{path}`: {} is no temperature of the air around a vessel",
                        found.text
                    ),
                    found.label("between -60 and 70 degC (-76 and 158 degF) is possible"),
                )
                .help("is the unit right?"),
            );
        }
    }
    let (stated_lowest, stated_highest) = (
        survey.number("site.ambient-lowest"),
        survey.number("site.ambient-highest"),
    );
    survey.check_below(
        "ambient-reversed",
        stated_lowest.as_ref(),
        stated_highest.as_ref(),
        true,
        "exchange them",
    );
    if let (Some(lowest), Some(highest)) = (lowest, highest)
        && (stated_lowest.is_none() || stated_highest.is_none())
        && lowest > highest
    {
        survey.core_refusal(
            "ambient-reversed",
            "the lowest ambient temperature is above the highest, one of them assumed",
            "state both",
            &["site.ambient-lowest", "site.ambient-highest"],
        );
    }
    Some(Site {
        altitude_m: altitude_m?,
        atmosphere: atmosphere?,
        gravity_m_s2: gravity_m_s2?,
        ambient_lowest_k: lowest?,
        ambient_highest_k: highest?,
    })
}

/// True also when nothing is stated; what is out of range is reported.
fn altitude_is_possible(survey: &mut Survey<'_>) -> bool {
    let Some(found) = survey.number("site.altitude") else {
        return true;
    };
    let fits = ALTITUDE_M.contains(&found.value);
    if !fits {
        survey.problems.push(
            Problem::new(
                "site-implausible",
                format!(
                    "`site.altitude`: `{}` is no height above the sea that a plant stands at",
                    found.text
                ),
                found.label("between -430 and 6000 m (-1410 and 19 690 ft) is possible"),
            )
            .help("is the unit right? The local atmosphere comes from it"),
        );
    }
    fits
}

fn atmosphere(survey: &mut Survey<'_>, altitude_m: Option<f64>) -> Option<AbsolutePressure> {
    if survey.is_present("site.atmosphere") {
        let found = survey.quantity("site.atmosphere")?;
        let pressure = found.value.value;
        if found.value.basis != Basis::Absolute {
            survey.problems.push(
                Problem::new(
                    "atmosphere-not-absolute",
                    format!(
                        "`site.atmosphere`: `{}` is counted from the atmosphere itself",
                        found.text
                    ),
                    found.label("gauge"),
                )
                .help("give the barometric pressure as absolute, for instance \"989 mbar(a)\""),
            );
            return None;
        }
        if !(20e3..=120e3).contains(&pressure) {
            survey.problems.push(
                Problem::new(
                    "atmosphere-implausible",
                    format!(
                        "`site.atmosphere`: `{}` is no pressure of the air on land",
                        found.text
                    ),
                    found.label("between 20 and 120 kPa(a) is possible"),
                )
                .help("give the pressure at the site, not the one reduced to sea level"),
            );
            return None;
        }
        return Some(AbsolutePressure::from_pa(pressure));
    }
    match standard_atmosphere_pressure_pa(altitude_m?) {
        Ok(pressure) => {
            survey.assume(
                "site.atmosphere",
                words::quantity(pressure, Dimension::Pressure, survey.units),
                "standard atmosphere at the altitude (ISO 2533); weather moves it by some 3 %",
            );
            Some(AbsolutePressure::from_pa(pressure))
        }
        Err(error) => {
            survey.core_refusal(
                "site-implausible",
                error,
                "is the unit right?",
                &["site.altitude"],
            );
            None
        }
    }
}

fn gravity(survey: &mut Survey<'_>, altitude_m: Option<f64>) -> Option<f64> {
    if let Some(found) = survey.number("site.gravity") {
        if !(9.7..=9.9).contains(&found.value) {
            survey.problems.push(
                Problem::new(
                    "gravity-implausible",
                    format!("`site.gravity`: `{}` is no gravity on earth", found.text),
                    found.label("between 9.7 and 9.9 m/s2 (31.83 and 32.48 ft/s2) is possible"),
                )
                .help("leave it out and give the latitude, if it was not measured"),
            );
            return None;
        }
        return Some(found.value);
    }
    if survey.is_present("site.gravity") {
        return None;
    }
    if survey.is_present("site.latitude") {
        let latitude = survey.number("site.latitude")?;
        return match local_gravity_m_s2(latitude.value, altitude_m?) {
            Ok(gravity) => Some(gravity),
            Err(_) => {
                survey.core_refusal(
                    "site-implausible",
                    format!(
                        "`site.latitude`: `{}` is not between -90 and 90 deg",
                        latitude.text
                    ),
                    "north and south count alike; degrees and decimals, for instance \"41.5 deg\"",
                    &["site.latitude"],
                );
                None
            }
        };
    }
    survey.assume(
        "site.gravity",
        format!("{STANDARD_GRAVITY_M_S2} m/s2"),
        "latitude not surveyed; standard gravity is within 0.3 % anywhere, and level readings hardly feel it",
    );
    Some(STANDARD_GRAVITY_M_S2)
}
