//! Actuator and valve stem: rate, resolution, play on reversal, and what stuck means.
//!
//! ```text
//! motor   runs at the stroke's rate while |command − motor| > resolution/2, and stops on the command, at the ends on the stem's stop
//! stem    follows the motor with a play of the deadband: it stands still while the motor crosses it
//! ```
//!
//! **Source:** play as in Tao & Kokotović, *Adaptive Control of Systems with Actuator and Sensor Nonlinearities* (1996), chapter 2.
//! **Checked by:** `property_play_is_crossed_before_the_stem_moves`, `property_rate_is_kept`.

use super::error::{DynamicsError, positive};

/// Actuator with its stem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ActuatorModel {
    rate_per_s: f64,
    deadband_ratio: f64,
    resolution_ratio: f64,
    motor_ratio: f64,
    travel_ratio: f64,
    /// Stands where it is, whatever is commanded.
    pub stuck: bool,
}

impl ActuatorModel {
    /// An actuator at a travel of 0 to 1.
    ///
    /// # Errors
    /// [`DynamicsError::Parameter`] for a stroke time not above zero, play or resolution outside 0 to 0.5, travel outside 0 to 1.
    pub fn new(
        stroke_time_s: f64,
        deadband_ratio: f64,
        resolution_ratio: f64,
        travel_ratio: f64,
    ) -> Result<Self, DynamicsError> {
        let within = |what, value: f64, most: f64, limit| {
            if (0.0..=most).contains(&value) {
                Ok(value)
            } else {
                Err(DynamicsError::Parameter {
                    what,
                    value,
                    unit: "of travel",
                    limit,
                })
            }
        };
        Ok(Self {
            rate_per_s: 1.0 / positive("stroke time", stroke_time_s, "s")?,
            deadband_ratio: within("deadband", deadband_ratio, 0.5, "0 to 0.5")?,
            resolution_ratio: within("resolution", resolution_ratio, 0.5, "0 to 0.5")?,
            motor_ratio: within("travel", travel_ratio, 1.0, "0 to 1")?,
            travel_ratio,
            stuck: false,
        })
    }

    /// Travel of the stem, 0 to 1.
    pub const fn travel_ratio(&self) -> f64 {
        self.travel_ratio
    }

    /// Goes on for a time towards a command of 0 to 1; returns the stem's travel.
    pub fn advance(&mut self, command_ratio: f64, duration_s: f64) -> f64 {
        if self.stuck {
            return self.travel_ratio;
        }
        // Commanded to an end, the motor runs on through its play until the stem is on its stop: a shut valve is shut.
        let beyond = 0.5 * (self.deadband_ratio + self.resolution_ratio);
        let target = if command_ratio <= 0.0 {
            -beyond
        } else if command_ratio >= 1.0 {
            1.0 + beyond
        } else {
            command_ratio
        };
        let away = target - self.motor_ratio;
        if away.abs() > 0.5 * self.resolution_ratio {
            let most = self.rate_per_s * duration_s;
            self.motor_ratio += away.clamp(-most, most);
        }
        let play = 0.5 * self.deadband_ratio;
        self.travel_ratio = self
            .travel_ratio
            .clamp(self.motor_ratio - play, self.motor_ratio + play)
            .clamp(0.0, 1.0);
        self.travel_ratio
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn property_play_is_crossed_before_the_stem_moves() {
        let mut actuator = ActuatorModel::new(10.0, 0.02, 0.0, 0.5).unwrap();
        for _ in 0..100 {
            actuator.advance(0.6, 1.0);
        }
        assert!((actuator.travel_ratio() - 0.59).abs() < 1e-12);
        for _ in 0..100 {
            actuator.advance(0.585, 1.0);
        }
        assert!(
            (actuator.travel_ratio() - 0.59).abs() < 1e-12,
            "within the play"
        );
        for _ in 0..100 {
            actuator.advance(0.5, 1.0);
        }
        assert!((actuator.travel_ratio() - 0.51).abs() < 1e-12);
        for (end, command) in [(0.0, -0.01), (1.0, 1.0)] {
            let mut actuator = ActuatorModel::new(10.0, 0.02, 0.005, 0.5).unwrap();
            for _ in 0..100 {
                actuator.advance(command, 1.0);
            }
            assert!((actuator.travel_ratio() - end).abs() < 1e-12, "on its stop");
        }
        actuator.stuck = true;
        assert!((actuator.advance(1.0, 100.0) - 0.51).abs() < 1e-12);
    }

    #[test]
    fn property_impossible_actuators_are_refused() {
        for (stroke, deadband, resolution, travel) in [
            (0.0, 0.01, 0.01, 0.5),
            (f64::NAN, 0.01, 0.01, 0.5),
            (30.0, 0.6, 0.01, 0.5),
            (30.0, 0.01, -0.1, 0.5),
            (30.0, 0.01, 0.01, f64::NAN),
        ] {
            assert!(ActuatorModel::new(stroke, deadband, resolution, travel).is_err());
        }
    }

    proptest! {
        #[test]
        fn property_rate_is_kept(commands in proptest::collection::vec(-0.5_f64..1.5, 1..50), stroke in 1.0_f64..100.0) {
            let mut actuator = ActuatorModel::new(stroke, 0.01, 0.002, 0.3).unwrap();
            for command in commands {
                let before = actuator.travel_ratio();
                let after = actuator.advance(command, 0.25);
                prop_assert!((after - before).abs() <= 0.25 / stroke + 1e-12);
                prop_assert!((0.0..=1.0).contains(&after));
            }
        }
    }
}
