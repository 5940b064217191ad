//! What of the loop stands already and what is to be bought, as far as the survey says.

use halfglass_core::description::Loop;
use halfglass_core::description::feed_system::ValveSize;
use halfglass_core::design::Sheets;
use halfglass_core::feedwater::sheets::{Candidate, FeedwaterSheet};

/// Does an item stand already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It stands and stays.
    Fitted,
    /// It stands and does not fit, and nothing better is known yet.
    DoNotOrder,
    /// To be bought.
    ToBuy,
    /// Not surveyed.
    NotSaid,
}

impl Standing {
    /// In words; a blank to be marked on site where the survey does not say.
    pub const fn words(self) -> &'static str {
        match self {
            Standing::Fitted => "fitted",
            Standing::DoNotOrder => "as fitted, do not order",
            Standing::ToBuy => "to buy",
            Standing::NotSaid => "____",
        }
    }
}

/// The control valve that the bill and the data sheet are about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ValveToHave<'a> {
    /// Name of its size.
    pub(crate) name: &'a str,
    /// Its rated Kv, m3/h.
    pub(crate) kv_m3_h: f64,
    /// Its row in the sheet.
    pub(crate) candidate: Option<&'a Candidate>,
    /// Does it stand already.
    pub(crate) standing: Standing,
    /// The fitted valve that it replaces: name and Kv, m3/h.
    pub(crate) replaces: Option<(&'a str, f64)>,
}

impl<'a> ValveToHave<'a> {
    /// The chosen size; where a fitted one does not fit, the size that the sheet names to buy.
    pub(crate) fn of(sheet: &'a FeedwaterSheet) -> Self {
        let chosen = sheet.candidates.iter().find(|size| size.chosen);
        let fits = chosen.is_some_and(|size| size.fits);
        let as_chosen = |standing| Self {
            name: &sheet.chosen_name,
            kv_m3_h: sheet.chosen_kv_m3_h,
            candidate: chosen,
            standing,
            replaces: None,
        };
        match (sheet.is_fitted, fits) {
            (false, _) => as_chosen(Standing::ToBuy),
            (true, true) => as_chosen(Standing::Fitted),
            (true, false) => sheet
                .candidates
                .iter()
                .find(|size| size.serves_better)
                .map_or_else(
                    || as_chosen(Standing::DoNotOrder),
                    |better| Self {
                        name: &better.name,
                        kv_m3_h: better.rated_kv_m3_h,
                        candidate: Some(better),
                        standing: Standing::ToBuy,
                        replaces: Some((&sheet.chosen_name, sheet.chosen_kv_m3_h)),
                    },
                ),
        }
    }

    /// Its size as surveyed; a generic one is nobody's catalogue.
    pub(crate) fn size<'b>(&self, described: &'b Loop) -> Option<&'b ValveSize> {
        let valve = &described.feed_system.as_ref()?.valve;
        let listed = if valve.sizes_are_generic {
            &[][..]
        } else {
            &valve.sizes[..]
        };
        valve
            .fitted
            .iter()
            .chain(listed)
            .find(|size| size.name == self.name)
    }
}

/// Does the actuator stand already: the one described, where it is strong enough for a valve that stays.
pub(crate) fn of_actuator(sheets: &Sheets) -> Standing {
    match &sheets.feedwater {
        None => Standing::NotSaid,
        Some(sheet) if !sheet.actuator.enough => Standing::ToBuy,
        Some(sheet) if sheet.is_fitted => Standing::NotSaid,
        Some(_) => Standing::ToBuy,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bill::{ItemKind, bill};
    use crate::fixture;
    use crate::units::DisplayUnits;

    /// The core's verdict on the oversized valve of the inherited loop names what to buy; the bill carries that.
    #[test]
    fn practice_a_condemned_valve_is_not_what_is_bought() {
        let (described, sheets) = fixture::example_named("inherited-cold-range");
        let sheet = sheets.feedwater.as_ref().expect("water side described");
        let valve = ValveToHave::of(sheet);
        let candidate = valve.candidate.expect("among the sizes");
        assert!(sheet.is_fitted && candidate.fits && !candidate.chosen);
        assert_eq!(valve.standing, Standing::ToBuy);
        let (name, kv_m3_h) = valve.replaces.expect("it replaces the fitted one");
        assert_eq!(name, sheet.chosen_name);
        assert!(valve.kv_m3_h < 0.5 * kv_m3_h, "the fitted one is oversized");
        let items = bill(&described, &sheets, &DisplayUnits::of(&described));
        let item = |kind| {
            let found = items.iter().find(|item| item.kind == kind);
            found.expect("listed")
        };
        let listed = item(ItemKind::ControlValve);
        assert!(listed.what.contains(&candidate.name), "{}", listed.what);
        assert_eq!(listed.standing, Standing::ToBuy);
        assert!(!sheet.actuator.enough);
        assert_eq!(item(ItemKind::Actuator).standing, Standing::ToBuy);
        // Its cell and its controller were read as found.
        assert_eq!(item(ItemKind::Cell).standing, Standing::Fitted);
        assert_eq!(item(ItemKind::Controller).standing, Standing::Fitted);
    }

    #[test]
    fn property_no_verdict_no_recommendation() {
        let (_, sheets) = fixture::example_named("inherited-cold-range");
        let mut sheet = sheets.feedwater.expect("water side described");
        for size in &mut sheet.candidates {
            size.serves_better = false;
        }
        let valve = ValveToHave::of(&sheet);
        assert_eq!(valve.standing, Standing::DoNotOrder);
        assert_eq!(valve.name, sheet.chosen_name);
        for size in &mut sheet.candidates {
            size.fits = true;
        }
        assert_eq!(ValveToHave::of(&sheet).standing, Standing::Fitted);
        sheet.is_fitted = false;
        assert_eq!(ValveToHave::of(&sheet).standing, Standing::ToBuy);
    }
}
