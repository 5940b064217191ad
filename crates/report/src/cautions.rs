//! The cautions, one wording for terminal, page and pack; each follows the kind of vessel.

use halfglass_core::description::VesselKind;

/// Trips are independent of this loop.
pub const TRIPS_ARE_INDEPENDENT: &str = "Low-water cutoffs and high-level trips are independent of this loop and must be proved \
     independently. A reading of this loop never vouches for them, and nothing on this sheet does.";

/// Who decides.
pub const WHO_DECIDES: &str = "Local codes, the manufacturer's instructions and the licensed person in charge decide (for example \
     ASME CSD-1, ASME BPVC Section I, NFPA 85, EN 12953-6, EN 12952-7, national rules). This is a calculation, not an approval.";

/// Hot water, under pressure or not.
pub const fn scalding(kind: VesselKind) -> &'static str {
    match kind {
        VesselKind::ShellBoiler | VesselKind::DrumBoiler => {
            "Boiler water and leg water flash and scald. Isolate, depressurise, lock out and let it cool before a fitting is opened; never open a \
             condensate pot or a leg under pressure."
        }
        VesselKind::Deaerator => {
            "Deaerator water is at its boiling point: it flashes and scalds. Isolate, depressurise, lock out and let it cool before a fitting \
             is opened; never open a condensate pot or a leg under pressure."
        }
        VesselKind::VentedTank => {
            "Hot tank water scalds. Isolate, lock out, and drain or let it cool before a fitting is opened."
        }
    }
}

/// An empty glass.
pub const fn empty_glass(kind: VesselKind) -> &'static str {
    if kind.is_fired() {
        "An empty glass tells nothing but that the level is below it: stop firing and do not feed. Feeding a boiler whose heated surface may \
         be bare can destroy it. A full glass tells only that the level is above it."
    } else {
        "An empty glass tells nothing but that the level is below it: protect the pumps that draw from the vessel and find out why. A full \
         glass tells only that the level is above it: stop feeding and find out why."
    }
}

/// The line that stands on every glass card.
pub const GLASS_NEVER_LICENSES: &str =
    "More water than the glass shows never licenses running below it.";

/// Forecasts.
pub const FORECAST: &str = "FORECAST: every figure here is computed from the survey, not measured. It stays a forecast until a bump \
     test on this vessel confirms it.";

/// Before the controls are touched, for a vessel with or without a glass.
pub const fn manual_first(kind: VesselKind, has_glass: bool) -> &'static str {
    if kind.is_fired() && has_glass {
        "Put the controller in manual, with a second person at the glass and the cutoffs proved, before a setting or the cell is touched. \
         Never leave a boiler unattended with a trip bypassed."
    } else if kind.is_fired() {
        "Put the controller in manual, with a second person who measures the level another way and the cutoffs proved, before a setting or the \
         cell is touched. Never leave a boiler unattended with a trip bypassed."
    } else {
        "Put the controller in manual, with a second person where the level is seen and every level protection proved, before a setting or the \
         cell is touched. Never leave the vessel unattended with a protection bypassed."
    }
}

/// Pressure on one port.
pub const ONE_PORT: &str = "A calibrator pushes positive pressure into one port; the other port is open to the air. Push on the port \
     that the table names: on the wrong port the cell reads the mirror image. Test only with the cell isolated, vented and disconnected from the legs.";

/// Before a wire is touched.
pub const WIRES: &str = "Isolate and lock out every supply, the actuator's too, and prove it dead before a wire is touched. Put the controller in manual first: \
     an opened loop reads as a level. Wiring of trips and other safety circuits is no part of this drawing. Local electrical codes decide.";
