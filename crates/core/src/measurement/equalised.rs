//! The cell without a differential: what the zero check reads, and whether the current can show it.

use super::cell::percent_of_range;
use super::error::MeasurementError;
use super::sheets::{Equalised, Range, RangeSheet};
use super::signal;
use crate::description::{Loop, ReferenceLeg};
use crate::finding::{Finding, Severity};

/// How this cell is brought to no differential: only legs that meet in a manifold have an equaliser.
#[must_use]
pub const fn no_differential(leg: &ReferenceLeg) -> &'static str {
    match leg {
        ReferenceLeg::Wet { .. } | ReferenceLeg::Dry { .. } => "with the equaliser open",
        ReferenceLeg::None => "with the block valve shut and the cell vented",
        ReferenceLeg::Sealed { .. } => "with no differential at the cell",
    }
}

/// Reading without a differential, in percent, and what the current makes of it.
///
/// ```text
/// y = −LRV / (URV − LRV)
/// ```
///
/// **Source:** definition of a range. On a wet leg no differential lies ABOVE full.
/// **Checked by:** `practice_equalised_reading_is_above_full`.
pub(super) fn equalised(described: &Loop, range: Range) -> Result<Equalised, MeasurementError> {
    let percent = percent_of_range(range, 0.0)?;
    let wanted_ma = signal::current_ma(&described.cell, percent);
    let (current_ma, clipped) = signal::saturated_ma(&described.cell, wanted_ma);
    Ok(Equalised {
        percent,
        wanted_ma,
        current_ma,
        clipped,
    })
}

/// A zero check that the current cannot show.
pub(super) fn pegged(described: &Loop, sheet: &RangeSheet) -> Option<Finding> {
    let equalised = &sheet.equalised;
    let how = no_differential(&described.reference_leg);
    equalised.clipped.then(|| Finding {
        severity: Severity::Note,
        code: "zero-check-pegged",
        what: format!("In a zero check, {how}, the cell wants {:.1} % of span ({:.2} mA) but stops at {:.2} mA.", equalised.percent, equalised.wanted_ma, equalised.current_ma),
        consequence: "A zero error does not show in the current, and the panel reads a level that the vessel does not have.".into(),
        remedy: "Check zero as pressure on the cell's own display or communicator: it must read no differential.".into(),
        input: "",
    })
}
