//! The legs: what stands on both ports of the cell, and how warm it is.

use halfglass_core::description::{LegTemperature, ReferenceLeg, VesselKind};
use halfglass_core::water::{DensityPoint, FillFluid};

use super::refusal;
use crate::problem::Problem;
use crate::survey::Survey;

/// Half width of the band of leg temperatures when only the mean is known, K. Common practice.
const BAND_K: f64 = 15.0;
/// Leg near a boiler, K. Common practice.
const USUAL_LEG_K: f64 = 323.15;

pub(super) struct Legs {
    pub(super) reference: ReferenceLeg,
    pub(super) working_k: f64,
}

pub(super) fn legs(
    survey: &mut Survey<'_>,
    vessel: Option<VesselKind>,
    ambient: Option<(f64, f64)>,
) -> Option<Legs> {
    let kind = survey.word("reference-leg.kind");
    refuse_foreign_keys(survey, kind.as_ref().map(|kind| kind.value));
    if let (Some(kind), Some(vessel)) = (&kind, vessel) {
        check_kind_suits_vessel(survey, kind, vessel);
    }
    let reference = match kind.as_ref().map(|kind| kind.value) {
        Some("wet") => wet(survey, ambient),
        Some("dry") => {
            let profile = temperature(survey, ambient);
            profile.map(|profile| ReferenceLeg::Dry {
                temperature_k: 0.5 * (profile.top_k + profile.bottom_k),
            })
        }
        Some("none") => Some(ReferenceLeg::None),
        Some(_) => sealed(survey, ambient),
        None => None,
    };
    let bottom_k = match &reference {
        Some(ReferenceLeg::Wet {
            temperature,
            below_tap_k,
            ..
        }) => Some(below_tap_k.unwrap_or(temperature.bottom_k)),
        Some(ReferenceLeg::Dry { temperature_k }) => Some(*temperature_k),
        Some(ReferenceLeg::Sealed {
            working_capillary_k,
            ..
        }) => Some(*working_capillary_k),
        Some(ReferenceLeg::None) => ambient.map(|(lowest, highest)| 0.5 * (lowest + highest)),
        None => None,
    };
    let working_k = match bottom_k {
        Some(bottom_k) => survey.number_or(
            "working-leg.temperature",
            bottom_k,
            match &reference {
                Some(ReferenceLeg::None) => "not surveyed; midway between the ambient temperatures",
                _ => "not surveyed; taken as warm as the cell's end of the reference leg, so that the parts below the taps cancel",
            },
        ),
        None => survey
            .number("working-leg.temperature")
            .map(|found| found.value),
    };
    check_band(survey);
    Some(Legs {
        reference: reference?,
        working_k: working_k?,
    })
}

fn check_kind_suits_vessel(
    survey: &mut Survey<'_>,
    kind: &crate::survey::Located<&'static str>,
    vessel: VesselKind,
) {
    let (code, message, help) = match (kind.value, vessel.holds_steam()) {
        ("none", true) => (
            "leg-missing-on-steam-vessel",
            "a vessel under steam has a reference leg; `none` is for a tank open to the air",
            "write kind = \"wet\" with its pot lip, or \"sealed\" with its seals",
        ),
        ("wet" | "dry", false) => (
            "leg-on-vented-tank",
            "a tank open to the air has no reference leg: the low port is open to the air too",
            "write kind = \"none\"",
        ),
        _ => return,
    };
    let mut problem = Problem::new(code, message, kind.label("this kind of leg")).help(help);
    if let Some(vessel) = survey.entries.get("vessel.kind") {
        problem = problem.and(crate::problem::Label::new(
            vessel.span.clone(),
            "on this kind of vessel",
        ));
    }
    survey.problems.push(problem);
}

fn refuse_foreign_keys(survey: &mut Survey<'_>, kind: Option<&str>) {
    const WET: &[&str] = &["pot-lip", "below-tap-temperature"];
    const SEALED: &[&str] = &[
        "lower-seal",
        "upper-seal",
        "fill-fluid",
        "fill-name",
        "capillary-temperature",
        "working-capillary-temperature",
    ];
    const PROFILE: &[&str] = &["temperature", "top-temperature", "bottom-temperature"];
    let Some(kind) = kind else { return };
    for (names, owners, why) in [
        (WET, &["wet"][..], "the reference leg is not wet"),
        (SEALED, &["sealed"][..], "the reference leg is not sealed"),
        (
            PROFILE,
            &["wet", "dry"][..],
            "the reference leg has no profile of its own",
        ),
    ] {
        if !owners.contains(&kind) {
            for name in names {
                survey.refuse(&format!("reference-leg.{name}"), why);
            }
        }
    }
    let own = survey
        .word("reference-leg.fill-fluid")
        .map(|word| word.value)
        == Some("own");
    if !own && survey.entries.count("reference-leg.fill-density") > 0 {
        survey.refuse(
            "reference-leg.fill-density[0].density",
            "the fill fluid is not `own`",
        );
    }
}

fn temperature(survey: &mut Survey<'_>, ambient: Option<(f64, f64)>) -> Option<LegTemperature> {
    let (uniform, top, bottom) = (
        survey.number("reference-leg.temperature"),
        survey.number("reference-leg.top-temperature"),
        survey.number("reference-leg.bottom-temperature"),
    );
    let profiled = survey.is_present("reference-leg.top-temperature")
        || survey.is_present("reference-leg.bottom-temperature");
    if let (Some(uniform), Some(end)) = (&uniform, top.as_ref().or(bottom.as_ref())) {
        survey.problems.push(
            Problem::new(
                "leg-temperature-twice",
                "the leg has one temperature, or one at each end, not both",
                uniform.label("one for the whole leg"),
            )
            .and(end.label("one for an end"))
            .help("keep `temperature`, or `top-temperature` with `bottom-temperature`"),
        );
        return None;
    }
    if profiled {
        survey.require("reference-leg.top-temperature", "the other end is given");
        survey.require("reference-leg.bottom-temperature", "the other end is given");
        return Some(LegTemperature {
            top_k: top?.value,
            bottom_k: bottom?.value,
        });
    }
    let usual_k = ambient.map_or(USUAL_LEG_K, |(_, highest)| USUAL_LEG_K.max(highest));
    let temperature_k = survey.number_or(
        "reference-leg.temperature",
        usual_k,
        "not surveyed; common for a leg near a hot vessel; 10 K more reads about 0.6 % of span high",
    )?;
    Some(LegTemperature {
        top_k: temperature_k,
        bottom_k: temperature_k,
    })
}

fn wet(survey: &mut Survey<'_>, ambient: Option<(f64, f64)>) -> Option<ReferenceLeg> {
    survey.require("reference-leg.pot-lip", "the leg is wet");
    let lip = survey.number("reference-leg.pot-lip");
    let upper = survey.number("elevations.upper-tap");
    survey.check_below(
        "pot-lip-under-upper-tap",
        upper.as_ref(),
        lip.as_ref(),
        true,
        "steam reaches the pot by the upper tap and its condensate runs back over the lip, so the lip is at or above the tap; measure both from the LOWER tap",
    );
    let profile = temperature(survey, ambient);
    let below_tap_k = survey.number("reference-leg.below-tap-temperature");
    if survey.is_present("reference-leg.below-tap-temperature") && below_tap_k.is_none() {
        return None;
    }
    let hangs_below = survey
        .number("cell.below-lower-tap")
        .is_some_and(|below| below.value > 0.0);
    if hangs_below && survey.is_absent("reference-leg.below-tap-temperature") {
        survey.assume(
            "reference-leg.below-tap-temperature",
            "the leg's own profile".to_owned(),
            "not surveyed; the leg is taken as changing evenly down to the cell",
        );
    }
    Some(ReferenceLeg::Wet {
        pot_lip_m: lip?.value,
        temperature: profile?,
        below_tap_k: below_tap_k.map(|found| found.value),
    })
}

fn sealed(survey: &mut Survey<'_>, ambient: Option<(f64, f64)>) -> Option<ReferenceLeg> {
    for path in [
        "reference-leg.lower-seal",
        "reference-leg.upper-seal",
        "reference-leg.fill-fluid",
    ] {
        survey.require(path, "the leg is sealed");
    }
    let (lower, upper) = (
        survey.number("reference-leg.lower-seal"),
        survey.number("reference-leg.upper-seal"),
    );
    survey.check_below(
        "seals-reversed",
        lower.as_ref(),
        upper.as_ref(),
        false,
        "exchange them",
    );
    let midway_k = ambient.map_or(298.15, |(lowest, highest)| 0.5 * (lowest + highest));
    let reference_k = survey.number_or(
        "reference-leg.capillary-temperature",
        midway_k,
        "not surveyed; midway between the ambient temperatures",
    );
    let working_k = survey.number_or(
        "reference-leg.working-capillary-temperature",
        reference_k.unwrap_or(midway_k),
        "not surveyed; as the reference side",
    );
    let fluid = fluid(survey)?;
    for path in [
        "reference-leg.capillary-temperature",
        "reference-leg.working-capillary-temperature",
    ] {
        let value = if path.contains("working") {
            working_k
        } else {
            reference_k
        };
        if let Some(Err(error)) = value.map(|value| fluid.density_kg_m3(value)) {
            let message = refusal::fill_fluid_words(survey.units, &error);
            survey.core_refusal(
                "fill-fluid-temperature",
                format!("`{path}`: {message}"),
                "take another fill fluid, or give its maker's table over the temperatures there are",
                &[path],
            );
            return None;
        }
    }
    Some(ReferenceLeg::Sealed {
        lower_seal_m: lower?.value,
        upper_seal_m: upper?.value,
        fluid,
        reference_capillary_k: reference_k?,
        working_capillary_k: working_k?,
    })
}

fn fluid(survey: &mut Survey<'_>) -> Option<FillFluid> {
    let word = survey.word("reference-leg.fill-fluid")?;
    let generic = match word.value {
        "silicone-oil-50-cst" => FillFluid::silicone_oil_50_cst(),
        "glycerine-water" => FillFluid::glycerine_and_water(),
        "propylene-glycol-water" => FillFluid::propylene_glycol_and_water(),
        "vegetable-oil" => FillFluid::vegetable_oil(),
        _ => return own_fluid(survey, &word),
    };
    survey.assume(
        "reference-leg.fill-fluid",
        generic.name().to_owned(),
        "generic densities, good to about 1 %; use the maker's table with fill-fluid = \"own\"",
    );
    Some(generic)
}

fn own_fluid(
    survey: &mut Survey<'_>,
    word: &crate::survey::Located<&'static str>,
) -> Option<FillFluid> {
    let name = survey
        .text("reference-leg.fill-name")
        .map_or_else(|| "own fill fluid".to_owned(), |found| found.value);
    let count = survey.entries.count("reference-leg.fill-density");
    let mut rows = Vec::new();
    for index in 0..count {
        let row = format!("reference-leg.fill-density[{index}]");
        rows.push(DensityPoint {
            temperature_k: survey.number(&format!("{row}.temperature"))?.value,
            density_kg_m3: survey.number(&format!("{row}.density"))?.value,
        });
    }
    match FillFluid::from_table(name, rows) {
        Ok(fluid) => Some(fluid),
        Err(error) => {
            survey.problems.push(
                Problem::new(
                    "fill-fluid-table",
                    refusal::fill_fluid_words(survey.units, &error),
                    word.label("its own table is needed"),
                )
                .help("give two rows [[reference-leg.fill-density]] or more, temperatures rising"),
            );
            None
        }
    }
}

/// The two stated ends of the band against each other.
fn check_band(survey: &mut Survey<'_>) {
    let (lowest, highest) = (
        survey.number("reference-leg.lowest-temperature"),
        survey.number("reference-leg.highest-temperature"),
    );
    survey.check_below(
        "leg-band-reversed",
        lowest.as_ref(),
        highest.as_ref(),
        true,
        "exchange them",
    );
}

/// Leg temperatures over which the range is judged, around the leg's mean temperature above the lower tap.
pub(super) fn band(survey: &mut Survey<'_>, mean_k: f64) -> Option<(f64, f64)> {
    let why = "not surveyed; the range is judged over this band of leg temperatures";
    let (lowest, highest) = (
        survey.number("reference-leg.lowest-temperature"),
        survey.number("reference-leg.highest-temperature"),
    );
    let warmest_k = highest.map_or(mean_k, |highest| mean_k.min(highest.value));
    let coldest_k = lowest.map_or(mean_k, |lowest| mean_k.max(lowest.value));
    // Legs that hold water do not freeze in service: somebody would have noticed.
    let floor_k = 274.15_f64.min(warmest_k);
    Some((
        survey.number_or(
            "reference-leg.lowest-temperature",
            (warmest_k - BAND_K).max(floor_k),
            why,
        )?,
        survey.number_or("reference-leg.highest-temperature", coldest_k + BAND_K, why)?,
    ))
}
