//! Tuning rules by name, each with its source.
//!
//! | symbol | meaning                                                     | unit |
//! |--------|-------------------------------------------------------------|------|
//! | k'     | integrating process gain, level fraction a second for the whole output | 1/s  |
//! | k      | steady gain of a self-regulating process                    | %/%  |
//! | T      | time constant                                               | s    |
//! | θ      | effective dead time                                         | s    |
//! | τc     | wanted closed-loop time constant                            | s    |
//! | λ      | arrest time: when the level turns after a load step         | s    |

use std::f64::consts::E;

use super::process::is_positive;
pub use super::process::{IntegratingProcess, RuleError, SelfRegulatingProcess, UltimatePoint};
use crate::controller::forms::PidSettings;

/// τc + θ, after the rule's own range τc ≥ θ.
fn closed_loop_sum_s(closed_loop_time_s: f64, dead_time_s: f64) -> Result<f64, RuleError> {
    if !(is_positive(closed_loop_time_s) && closed_loop_time_s >= dead_time_s) {
        return Err(RuleError::ClosedLoopTime {
            value: closed_loop_time_s,
            dead_time_s,
        });
    }
    Ok(closed_loop_time_s + dead_time_s)
}

/// SIMC PI for an integrating process: Kc = 1/(k'(τc + θ)), Ti = 4(τc + θ), τc ≥ θ.
///
/// **Source:** Skogestad, J. Process Control 13 (2003) 291-309.
///
/// # Errors
/// [`RuleError::ClosedLoopTime`] when τc is below θ.
pub fn simc_pi(
    process: IntegratingProcess,
    closed_loop_time_s: f64,
) -> Result<PidSettings, RuleError> {
    let sum_s = closed_loop_sum_s(closed_loop_time_s, process.dead_time_s())?;
    Ok(PidSettings::ideal(
        1.0 / (process.gain_per_s() * sum_s),
        Some(4.0 * sum_s),
        0.0,
    )?)
}

/// Improved SIMC PID in the series form: SIMC PI with Td = θ/3.
///
/// For an integrating process the improved PI rule (T → T + θ/3) is [`simc_pi`] itself, its limit for T → ∞.
///
/// **Source:** Grimholt & Skogestad, IFAC PID 2012; J. Process Control 70 (2018) 36-46.
///
/// # Errors
/// [`RuleError::ClosedLoopTime`] when τc is below θ.
pub fn improved_simc_pid(
    process: IntegratingProcess,
    closed_loop_time_s: f64,
) -> Result<PidSettings, RuleError> {
    let sum_s = closed_loop_sum_s(closed_loop_time_s, process.dead_time_s())?;
    let gain_ratio = 1.0 / (process.gain_per_s() * sum_s);
    Ok(PidSettings::series(
        gain_ratio,
        Some(4.0 * sum_s),
        process.dead_time_s() / 3.0,
    )?)
}

/// SIMC PI for a self-regulating process: Kc = T/(k(τc + θ)), Ti = min(T, 4(τc + θ)).
///
/// **Source:** Skogestad, J. Process Control 13 (2003) 291-309.
///
/// # Errors
/// [`RuleError::ClosedLoopTime`] when τc is below θ.
pub fn simc_pi_self_regulating(
    process: SelfRegulatingProcess,
    closed_loop_time_s: f64,
) -> Result<PidSettings, RuleError> {
    self_regulating(process, process.time_constant_s(), closed_loop_time_s)
        .and_then(|(gain_ratio, reset_s)| Ok(PidSettings::ideal(gain_ratio, Some(reset_s), 0.0)?))
}

/// Improved SIMC PI for a self-regulating process: SIMC with T + θ/3 in place of T.
///
/// **Source:** Grimholt & Skogestad, IFAC PID 2012; J. Process Control 70 (2018) 36-46.
///
/// # Errors
/// [`RuleError::ClosedLoopTime`] when τc is below θ.
pub fn improved_simc_pi_self_regulating(
    process: SelfRegulatingProcess,
    closed_loop_time_s: f64,
) -> Result<PidSettings, RuleError> {
    let time_constant_s = process.time_constant_s() + process.dead_time_s() / 3.0;
    let (gain_ratio, reset_s) = self_regulating(process, time_constant_s, closed_loop_time_s)?;
    Ok(PidSettings::ideal(gain_ratio, Some(reset_s), 0.0)?)
}

fn self_regulating(
    process: SelfRegulatingProcess,
    time_constant_s: f64,
    closed_loop_time_s: f64,
) -> Result<(f64, f64), RuleError> {
    let sum_s = closed_loop_sum_s(closed_loop_time_s, process.dead_time_s())?;
    let gain_ratio = time_constant_s / (process.gain_ratio() * sum_s);
    Ok((gain_ratio, time_constant_s.min(4.0 * sum_s)))
}

/// AMIGO PI for an integrating process, designed for Ms = 1.4: Kc = 0.35/(k'θ), Ti = 13.4 θ.
///
/// **Source:** Åström & Hägglund, *Advanced PID Control* (ISA, 2006), chapter 7.
///
/// # Errors
/// [`RuleError::NoDeadTime`] when θ is zero.
pub fn amigo_pi(process: IntegratingProcess) -> Result<PidSettings, RuleError> {
    let dead_time_s = process.positive_dead_time_s()?;
    Ok(PidSettings::ideal(
        0.35 / (process.gain_per_s() * dead_time_s),
        Some(13.4 * dead_time_s),
        0.0,
    )?)
}

/// AMIGO PID (ideal) for an integrating process: Kc = 0.45/(k'θ), Ti = 8 θ, Td = θ/2.
///
/// **Source:** Åström & Hägglund, *Advanced PID Control* (ISA, 2006), chapter 7.
///
/// # Errors
/// [`RuleError::NoDeadTime`] when θ is zero.
pub fn amigo_pid(process: IntegratingProcess) -> Result<PidSettings, RuleError> {
    let dead_time_s = process.positive_dead_time_s()?;
    let gain_ratio = 0.45 / (process.gain_per_s() * dead_time_s);
    Ok(PidSettings::ideal(
        gain_ratio,
        Some(8.0 * dead_time_s),
        0.5 * dead_time_s,
    )?)
}

/// Tyreus-Luyben PI: Kc = Ku/3.22, Ti = 2.2 Pu (some texts print 3.2).
///
/// **Source:** Tyreus & Luyben, Ind. Eng. Chem. Res. 31 (1992) 2625-2628.
///
/// # Errors
/// [`RuleError::NoDeadTime`] when θ is zero.
pub fn tyreus_luyben_pi(process: IntegratingProcess) -> Result<PidSettings, RuleError> {
    let ultimate = process.ultimate_point()?;
    Ok(PidSettings::ideal(
        ultimate.gain_ratio / 3.22,
        Some(2.2 * ultimate.period_s),
        0.0,
    )?)
}

/// Tyreus-Luyben PID (ideal): Kc = Ku/2.2, Ti = 2.2 Pu, Td = Pu/6.3.
///
/// **Source:** Tyreus & Luyben, Ind. Eng. Chem. Res. 31 (1992) 2625-2628; Luyben's later texts for the PID row.
///
/// # Errors
/// [`RuleError::NoDeadTime`] when θ is zero.
pub fn tyreus_luyben_pid(process: IntegratingProcess) -> Result<PidSettings, RuleError> {
    let UltimatePoint {
        gain_ratio,
        period_s,
    } = process.ultimate_point()?;
    Ok(PidSettings::ideal(
        gain_ratio / 2.2,
        Some(2.2 * period_s),
        period_s / 6.3,
    )?)
}

/// Ziegler-Nichols P from the ultimate point: Kc = 0.5 Ku.
///
/// **Source:** Ziegler & Nichols, Trans. ASME 64 (1942) 759-768.
///
/// # Errors
/// [`RuleError::NoDeadTime`] when θ is zero.
pub fn ziegler_nichols_p(process: IntegratingProcess) -> Result<PidSettings, RuleError> {
    Ok(PidSettings::ideal(
        0.5 * process.ultimate_point()?.gain_ratio,
        None,
        0.0,
    )?)
}

/// Ziegler-Nichols PI from the ultimate point: Kc = 0.45 Ku, Ti = Pu/1.2.
///
/// **Source:** Ziegler & Nichols, Trans. ASME 64 (1942) 759-768.
///
/// # Errors
/// [`RuleError::NoDeadTime`] when θ is zero.
pub fn ziegler_nichols_pi(process: IntegratingProcess) -> Result<PidSettings, RuleError> {
    let UltimatePoint {
        gain_ratio,
        period_s,
    } = process.ultimate_point()?;
    Ok(PidSettings::ideal(
        0.45 * gain_ratio,
        Some(period_s / 1.2),
        0.0,
    )?)
}

/// Ziegler-Nichols PID (ideal) from the ultimate point: Kc = 0.6 Ku, Ti = Pu/2, Td = Pu/8.
///
/// **Source:** Ziegler & Nichols, Trans. ASME 64 (1942) 759-768.
///
/// # Errors
/// [`RuleError::NoDeadTime`] when θ is zero.
pub fn ziegler_nichols_pid(process: IntegratingProcess) -> Result<PidSettings, RuleError> {
    let UltimatePoint {
        gain_ratio,
        period_s,
    } = process.ultimate_point()?;
    Ok(PidSettings::ideal(
        0.6 * gain_ratio,
        Some(period_s / 2.0),
        period_s / 8.0,
    )?)
}

/// Lambda (arrest time) PI: Ti = 2λ + θ, Kc = (2λ + θ)/(k'(λ + θ)²).
///
/// **Source:** internal model control with a ramp load: Rivera, Morari & Skogestad, Ind. Eng. Chem. Process
/// Des. Dev. 25 (1986) 252-265, integrating row.
///
/// # Errors
/// [`RuleError::ArrestTime`] when λ is not positive.
pub fn lambda_pi(
    process: IntegratingProcess,
    arrest_time_s: f64,
) -> Result<PidSettings, RuleError> {
    if !is_positive(arrest_time_s) {
        return Err(RuleError::ArrestTime {
            value: arrest_time_s,
        });
    }
    let reset_s = 2.0 * arrest_time_s + process.dead_time_s();
    let sum_s = arrest_time_s + process.dead_time_s();
    Ok(PidSettings::ideal(
        reset_s / (process.gain_per_s() * sum_s * sum_s),
        Some(reset_s),
        0.0,
    )?)
}

fn load_over_deviation(load_ratio: f64, allowed_deviation_ratio: f64) -> Result<f64, RuleError> {
    for (what, value) in [
        ("load change", load_ratio),
        ("allowed deviation", allowed_deviation_ratio),
    ] {
        if !is_positive(value) {
            return Err(RuleError::Fraction { what, value });
        }
    }
    Ok(load_ratio / allowed_deviation_ratio)
}

/// Averaging P-only: Kc = largest load change / allowed deviation, both as fractions (output, span).
///
/// **Source:** Cheung & Luyben, Ind. Eng. Chem. Fundam. 18 (1979) 15-21.
///
/// # Errors
/// [`RuleError::Fraction`] when one is not positive.
pub fn averaging_p(
    load_ratio: f64,
    allowed_deviation_ratio: f64,
) -> Result<PidSettings, RuleError> {
    Ok(PidSettings::ideal(
        load_over_deviation(load_ratio, allowed_deviation_ratio)?,
        None,
        0.0,
    )?)
}

/// Averaging PI, critically damped, dead time neglected: Kc = (2/e)·load/deviation, Ti = 4/(k'·Kc).
///
/// The peak after a load step D is then (2/e)·D/Kc. Judge the result with the true dead time.
///
/// **Source:** solution of y″ + 2ωy′ + ω²y = 0 with y′(0) = k'D, ω² = Kc·k'/Ti.
///
/// # Errors
/// [`RuleError::Fraction`] when one is not positive.
pub fn averaging_pi(
    process: IntegratingProcess,
    load_ratio: f64,
    allowed_deviation_ratio: f64,
) -> Result<PidSettings, RuleError> {
    let gain_ratio = 2.0 / E * load_over_deviation(load_ratio, allowed_deviation_ratio)?;
    Ok(PidSettings::ideal(
        gain_ratio,
        Some(4.0 / (process.gain_per_s() * gain_ratio)),
        0.0,
    )?)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::FRAC_PI_2;

    use super::*;

    fn check(settings: Result<PidSettings, RuleError>, expect: (f64, f64, f64)) {
        let settings = settings.unwrap();
        let (PidSettings::Ideal(own) | PidSettings::Series(own)) = settings else {
            panic!("no rule here gives the parallel form: {settings:?}")
        };
        let (gain_ratio, reset_s, derivative_s) = expect;
        // Half a unit of the fifth printed digit.
        assert!(
            (own.gain_ratio() - gain_ratio).abs() < 5e-5 * gain_ratio,
            "{own:?}"
        );
        assert!(
            (own.reset_s().unwrap_or(0.0) - reset_s).abs() < 5e-5 * reset_s.max(1e-9),
            "{own:?}"
        );
        assert!(
            (own.derivative_s() - derivative_s).abs() < 5e-5 * derivative_s.max(1e-9),
            "{own:?}"
        );
    }

    fn unit() -> IntegratingProcess {
        IntegratingProcess::new(1.0, 1.0).unwrap()
    }

    /// The rules as printed in the sources named at each, for k' = θ = 1.
    #[test]
    fn published_rules_on_the_unit_process() {
        check(simc_pi(unit(), 1.0), (0.5, 8.0, 0.0));
        check(simc_pi(unit(), 1.5), (0.4, 10.0, 0.0));
        check(simc_pi(unit(), 2.0), (0.333_333, 12.0, 0.0));
        check(improved_simc_pid(unit(), 1.0), (0.5, 8.0, 0.333_333));
        check(tyreus_luyben_pi(unit()), (0.487_82, 8.8, 0.0));
        check(tyreus_luyben_pid(unit()), (0.714_00, 8.8, 0.634_92));
        check(
            ziegler_nichols_p(unit()),
            (std::f64::consts::FRAC_PI_4, 0.0, 0.0),
        );
        check(ziegler_nichols_pi(unit()), (0.706_86, 3.333_33, 0.0));
        check(ziegler_nichols_pid(unit()), (0.942_48, 2.0, 0.5));
        check(amigo_pi(unit()), (0.35, 13.4, 0.0));
        check(amigo_pid(unit()), (0.45, 8.0, 0.5));
        check(lambda_pi(unit(), 1.0), (0.75, 3.0, 0.0));
        check(lambda_pi(unit(), 2.0), (0.555_56, 5.0, 0.0));
        check(lambda_pi(unit(), 3.0), (0.4375, 7.0, 0.0));
        check(lambda_pi(unit(), 10.0), (0.173_55, 21.0, 0.0));
    }

    /// Skogestad 2003; Grimholt & Skogestad 2012, improved rule.
    #[test]
    fn published_self_regulating_rules() {
        let slow = SelfRegulatingProcess::new(2.0, 20.0, 1.0).unwrap();
        check(simc_pi_self_regulating(slow, 1.0), (5.0, 8.0, 0.0));
        let fast = SelfRegulatingProcess::new(2.0, 3.0, 1.0).unwrap();
        check(simc_pi_self_regulating(fast, 1.0), (0.75, 3.0, 0.0));
        check(
            improved_simc_pi_self_regulating(fast, 1.0),
            (0.833_333, 3.333_333, 0.0),
        );
    }

    /// Cheung & Luyben 1979 (value from memory, not confirmed); 2/e = 0.735759 by algebra.
    #[test]
    fn published_averaging_rules() {
        let process = IntegratingProcess::new(0.01, 0.0).unwrap();
        check(averaging_p(0.3, 0.1), (3.0, 0.0, 0.0));
        check(averaging_pi(process, 0.3, 0.1), (2.207_28, 181.218, 0.0));
    }

    #[test]
    fn published_ultimate_point_is_marginal() {
        let process = IntegratingProcess::new(0.02, 7.0).unwrap();
        let ultimate = process.ultimate_point().unwrap();
        let w_rad_s = std::f64::consts::TAU / ultimate.period_s;
        let magnitude = ultimate.gain_ratio * 0.02 / w_rad_s;
        let phase = -FRAC_PI_2 - w_rad_s * 7.0;
        assert!((magnitude - 1.0).abs() < 1e-14 && (phase + std::f64::consts::PI).abs() < 1e-14);
    }

    #[test]
    fn published_rules_refuse_what_is_out_of_their_range() {
        let no_dead_time = IntegratingProcess::new(1.0, 0.0).unwrap();
        assert_eq!(tyreus_luyben_pi(no_dead_time), Err(RuleError::NoDeadTime));
        assert_eq!(amigo_pi(no_dead_time), Err(RuleError::NoDeadTime));
        assert!(simc_pi(no_dead_time, 1.0).is_ok());
        assert!(simc_pi(no_dead_time, 0.0).is_err());
        assert!(simc_pi(unit(), 0.99).is_err());
        assert!(simc_pi(unit(), f64::NAN).is_err());
        assert!(lambda_pi(unit(), f64::NAN).is_err());
        assert!(averaging_p(0.1, f64::NAN).is_err());
        assert!(IntegratingProcess::new(f64::NAN, 1.0).is_err());
        assert!(IntegratingProcess::new(1.0, f64::NAN).is_err());
        assert!(SelfRegulatingProcess::new(1.0, f64::NAN, 1.0).is_err());
    }
}
