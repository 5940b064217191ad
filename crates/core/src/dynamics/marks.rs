//! Alarms and trips while a run goes on: which stand, and when each came and went.
//!
//! Alarms follow the INDICATED level, as a panel's do; trips follow the TRUE level at their own heights, as independent ones do. A
//! mark that came goes again when the level is back by a share of the level span, so that noise does not tell it a thousand times.
//! The burner stays locked out until somebody resets it with the level back; a trip of an unfired vessel lets go by itself.
//!
//! **Source:** common practice for the share; who follows what as in the loop's protection.
//! **Checked by:** `property_marks_are_told_once_each_way`.

use super::sample::Standing;
use crate::description::Loop;
use crate::quantity::{IndicatedLevel, TrueLevel};

/// How far the level must come back, share of the level span.
const BACK_SHARE: f64 = 0.02;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    HighTrip,
    HighAlarm,
    LowAlarm,
    FirstLow,
    SecondLow,
}

#[derive(Debug, Clone, Copy)]
struct Mark {
    place: Place,
    name: &'static str,
    height_m: f64,
    stands: bool,
}

impl Mark {
    const fn is_low(&self) -> bool {
        matches!(
            self.place,
            Place::LowAlarm | Place::FirstLow | Place::SecondLow
        )
    }

    const fn is_alarm(&self) -> bool {
        matches!(self.place, Place::HighAlarm | Place::LowAlarm)
    }
}

/// The marks of a loop.
#[derive(Debug, Clone)]
pub(super) struct Marks {
    marks: Vec<Mark>,
    back_m: f64,
    is_fired: bool,
    locked_out: bool,
}

impl Marks {
    pub(super) fn of(described: &Loop) -> Self {
        let (limits, kind) = (&described.limits, described.vessel.kind);
        let marks = [
            (Place::HighTrip, "high-level trip", limits.high_trip_m),
            (Place::HighAlarm, "high alarm", limits.high_alarm_m),
            (Place::LowAlarm, "low alarm", limits.low_alarm_m),
            (Place::FirstLow, kind.first_low_trip(), limits.low_cutoff_m),
            (
                Place::SecondLow,
                kind.second_low_trip(),
                limits.second_low_cutoff_m,
            ),
        ]
        .into_iter()
        .filter_map(|(place, name, height_m)| {
            height_m.map(|height_m| Mark {
                place,
                name,
                height_m,
                stands: false,
            })
        })
        .collect();
        Self {
            marks,
            back_m: BACK_SHARE * described.range.span.height_m(),
            is_fired: kind.is_fired(),
            locked_out: false,
        }
    }

    /// Looks at both levels; tells each mark that came or went.
    pub(super) fn look(
        &mut self,
        true_level: TrueLevel,
        indicated: IndicatedLevel,
        mut tell: impl FnMut(String),
    ) {
        for mark in &mut self.marks {
            let level_m = if mark.is_alarm() {
                indicated.m()
            } else {
                true_level.m()
            };
            let beyond_m = if mark.is_low() {
                mark.height_m - level_m
            } else {
                level_m - mark.height_m
            };
            if !mark.stands && beyond_m >= 0.0 {
                mark.stands = true;
                if mark.place == Place::FirstLow && self.is_fired {
                    self.locked_out = true;
                }
                tell(if mark.is_alarm() {
                    format!("{}, by the INDICATED level", mark.name)
                } else {
                    format!("{}, by the TRUE level", mark.name)
                });
            } else if mark.stands && beyond_m < -self.back_m {
                mark.stands = false;
                tell(format!("{} clears", mark.name));
            }
        }
    }

    fn stands(&self, place: Place) -> bool {
        self.marks
            .iter()
            .any(|mark| mark.place == place && mark.stands)
    }

    /// Somebody resets the burner; it stays locked out where the level is not back.
    pub(super) fn reset(&mut self) {
        self.locked_out = self.locked_out && self.stands(Place::FirstLow);
    }

    /// Is the burner locked out.
    pub(super) const fn is_locked_out(&self) -> bool {
        self.locked_out
    }

    /// Has the first low-level trip of an unfired vessel stopped what draws from it.
    pub(super) fn stops_the_draw(&self) -> bool {
        !self.is_fired && self.stands(Place::FirstLow)
    }

    pub(super) fn standing(&self) -> Standing {
        Standing {
            high_trip: self.stands(Place::HighTrip),
            high_alarm: self.stands(Place::HighAlarm),
            low_alarm: self.stands(Place::LowAlarm),
            first_low: self.stands(Place::FirstLow),
            second_low: self.stands(Place::SecondLow),
            locked_out: self.locked_out,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;

    #[test]
    fn property_marks_are_told_once_each_way() {
        let described = shell_boiler();
        let mut marks = Marks::of(&described);
        let mut told = Vec::new();
        let mut look = |marks: &mut Marks, true_m: f64, indicated_m: f64| {
            marks.look(
                TrueLevel::from_m(true_m),
                IndicatedLevel::from_m(indicated_m),
                |text| told.push(text),
            );
        };
        let (cutoff, alarm) = (
            described.limits.low_cutoff_m.unwrap(),
            described.limits.low_alarm_m.unwrap(),
        );
        // The panel stays up while the vessel runs low: no alarm, and the cutoff acts.
        for _ in 0..5 {
            look(&mut marks, cutoff - 1e-3, 0.254);
            look(&mut marks, cutoff + 1e-3, 0.254);
        }
        assert!(marks.standing().first_low && !marks.standing().low_alarm);
        assert!(marks.is_locked_out());
        marks.reset();
        assert!(marks.is_locked_out(), "the level is not back");
        look(&mut marks, 0.254, alarm - 1e-3);
        assert!(marks.standing().low_alarm && !marks.standing().first_low);
        assert!(marks.is_locked_out(), "nobody has reset it");
        marks.reset();
        assert!(!marks.is_locked_out());
        assert_eq!(
            told,
            [
                "first low-water cutoff, by the TRUE level",
                "low alarm, by the INDICATED level",
                "first low-water cutoff clears",
            ]
        );
    }
}
