//! From percent of the level span to the loop current and back: reversal, saturation, ports.

use super::sheets::{PanelEnds, Port, Range, TestPoint};
use crate::description::{Cell, Polarity, Reversal};
use crate::quantity::{IndicatedLevel, LevelSpan, TrueLevel};

/// Current at 0 % of a rising signal, mA (IEC 60381-1).
const LIVE_ZERO_MA: f64 = 4.0;
/// Current between 0 % and 100 %, mA.
const CURRENT_SPAN_MA: f64 = 16.0;

/// Whether the current falls while the level rises: the wet leg is on the high port and the cell does not reverse.
pub const fn is_falling(cell: &Cell) -> bool {
    match cell.polarity {
        Polarity::BottomOnHigh => matches!(cell.reversal, Reversal::InController),
        Polarity::WetLegOnHigh => !matches!(cell.reversal, Reversal::InCell),
    }
}

/// Current at a percent of the level span, mA, not clipped.
pub fn current_ma(cell: &Cell, percent: f64) -> f64 {
    let share = percent / 100.0;
    let of_signal = if is_falling(cell) { 1.0 - share } else { share };
    LIVE_ZERO_MA + CURRENT_SPAN_MA * of_signal
}

/// Percent of the level span that a current stands for: the inverse of [`current_ma`].
pub fn percent(cell: &Cell, current_ma: f64) -> f64 {
    let of_signal = (current_ma - LIVE_ZERO_MA) / CURRENT_SPAN_MA;
    100.0
        * if is_falling(cell) {
            1.0 - of_signal
        } else {
            of_signal
        }
}

/// Current after the cell's saturation, mA, and whether it was clipped.
pub fn saturated_ma(cell: &Cell, wanted_ma: f64) -> (f64, bool) {
    let (low_ma, high_ma) = cell.saturation_ma;
    if wanted_ma < low_ma {
        (low_ma, true)
    } else if wanted_ma > high_ma {
        (high_ma, true)
    } else {
        (wanted_ma, false)
    }
}

/// What the panel says after saturation, and whether the signal was clipped.
pub fn clipped(cell: &Cell, span: LevelSpan, wanted: IndicatedLevel) -> (IndicatedLevel, bool) {
    let (current, is_clipped) = saturated_ma(cell, current_ma(cell, wanted.percent(span)));
    if is_clipped {
        (
            IndicatedLevel::from_percent(percent(cell, current), span),
            true,
        )
    } else {
        (wanted, false)
    }
}

/// What the panel says at either saturation current.
pub fn panel_ends(cell: &Cell) -> PanelEnds {
    let (low_ma, high_ma) = cell.saturation_ma;
    let (at_low, at_high) = (percent(cell, low_ma), percent(cell, high_ma));
    PanelEnds {
        low_percent: at_low.min(at_high),
        high_percent: at_low.max(at_high),
    }
}

/// Differentials to enter as the cell's 4 mA and 20 mA ends, Pa.
pub const fn cell_ends_pa(cell: &Cell, range: Range) -> (f64, f64) {
    if is_falling(cell) {
        (range.urv_pa, range.lrv_pa)
    } else {
        (range.lrv_pa, range.urv_pa)
    }
}

/// A bench test point: a calibrator pushes positive pressure, so the port follows the sign of the differential.
pub fn test_point(cell: &Cell, range: Range, percent: f64, true_level: TrueLevel) -> TestPoint {
    let differential_pa = range.lrv_pa + percent / 100.0 * (range.urv_pa - range.lrv_pa);
    TestPoint {
        percent,
        true_level,
        differential_pa,
        port: if differential_pa < 0.0 {
            Port::Low
        } else {
            Port::High
        },
        magnitude_pa: differential_pa.abs(),
        current_ma: current_ma(cell, percent),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example_loop::shell_boiler;
    use proptest::prelude::*;

    fn cell(polarity: Polarity, reversal: Reversal) -> Cell {
        Cell {
            polarity,
            reversal,
            ..shell_boiler().cell
        }
    }

    #[test]
    fn practice_a_falling_signal_is_reversed_once() {
        for (polarity, reversal, falls) in [
            (Polarity::BottomOnHigh, Reversal::Nowhere, false),
            (Polarity::WetLegOnHigh, Reversal::InCell, false),
            (Polarity::WetLegOnHigh, Reversal::InController, true),
            (Polarity::WetLegOnHigh, Reversal::Nowhere, true),
        ] {
            assert_eq!(
                is_falling(&cell(polarity, reversal)),
                falls,
                "{polarity:?} {reversal:?}"
            );
        }
        let range = Range {
            lrv_pa: 4900.0,
            urv_pa: 500.0,
        };
        assert_eq!(
            cell_ends_pa(&cell(Polarity::WetLegOnHigh, Reversal::InCell), range),
            (4900.0, 500.0)
        );
        assert_eq!(
            cell_ends_pa(&cell(Polarity::WetLegOnHigh, Reversal::InController), range),
            (500.0, 4900.0)
        );
    }

    #[test]
    fn practice_negative_points_go_to_the_low_port() {
        let cell = cell(Polarity::BottomOnHigh, Reversal::Nowhere);
        let range = Range {
            lrv_pa: -5000.0,
            urv_pa: 500.0,
        };
        let point = test_point(&cell, range, 0.0, TrueLevel::from_m(0.0));
        assert_eq!(
            (point.port, point.magnitude_pa, point.current_ma),
            (Port::Low, 5000.0, 4.0)
        );
        let point = test_point(&cell, range, 100.0, TrueLevel::from_m(0.5));
        assert_eq!(
            (point.port, point.magnitude_pa, point.current_ma),
            (Port::High, 500.0, 20.0)
        );
    }

    #[test]
    fn practice_saturation_clips_the_panel() {
        let span = LevelSpan {
            at_0_percent_m: 0.0,
            at_100_percent_m: 1.0,
        };
        // 3.8 and 20.5 mA are -1.25 % and 103.125 % of a rising signal; a falling one mirrors them.
        for (reversal, low, high) in [
            (Reversal::InCell, -1.25, 103.125),
            (Reversal::InController, -3.125, 101.25),
        ] {
            let cell = cell(Polarity::WetLegOnHigh, reversal);
            let says = |percent| {
                let (level, is_clipped) =
                    clipped(&cell, span, IndicatedLevel::from_percent(percent, span));
                assert!(is_clipped);
                level.percent(span)
            };
            assert!((says(-20.0) - low).abs() < 1e-9 && (says(120.0) - high).abs() < 1e-9);
            assert!(!clipped(&cell, span, IndicatedLevel::from_m(0.5)).1);
        }
    }

    proptest! {
        #[test]
        fn property_percent_inverts_current(value in -50.0_f64..150.0, in_cell: bool) {
            let cell = cell(Polarity::WetLegOnHigh, if in_cell { Reversal::InCell } else { Reversal::InController });
            prop_assert!((percent(&cell, current_ma(&cell, value)) - value).abs() < 1e-9);
        }
    }
}
