//! The exact limit cycle, and records of a relay at work.

use super::*;
use crate::identify::simulated::Noise;

const fn relay(d: f64, hysteresis_percent: f64, load_bias_percent: f64) -> Relay {
    Relay {
        up_percent: d,
        down_percent: d,
        hysteresis_percent,
        load_bias_percent,
    }
}

#[test]
fn crosscheck_relay_limit_cycle() {
    // Simulated apart from this project, k' 0.05, theta 4, d 10: peak 2.0 and period 16.0; with eps 0.5: 2.5 and 20.0.
    for (hysteresis, peak, period) in [(0.0, 2.0, 16.0), (0.5, 2.5, 20.0)] {
        let cycle = limit_cycle(0.05, 4.0, relay(10.0, hysteresis, 0.0)).unwrap();
        assert!((cycle.above_percent - peak).abs() < 1e-12);
        assert!((cycle.below_percent - peak).abs() < 1e-12);
        assert!((cycle.period_s() - period).abs() < 1e-12);
    }
    // The describing function's 4d/(pi a) is 18.9 % below the exact pi/(2 k' theta) = 7.854.
    let describing = 4.0 * 10.0 / (std::f64::consts::PI * 2.0);
    assert!((describing - 6.366).abs() < 5e-4);
    let exact = std::f64::consts::FRAC_PI_2 / (0.05 * 4.0);
    assert!((1.0 - describing / exact - 0.189).abs() < 5e-4);
}

#[test]
fn property_limit_cycle_gives_its_process_back() {
    for (gain, delay, hysteresis, bias) in [
        (0.05, 4.0, 0.0, 0.0),
        (1e-3, 30.0, 0.2, 3.0),
        (4e-4, 12.0, 0.05, -6.0),
    ] {
        let cycle = limit_cycle(gain, delay, relay(10.0, hysteresis, bias)).unwrap();
        let (found_gain, found_delay) = process_of_cycle(cycle, 20.0, hysteresis);
        assert!((found_gain / gain - 1.0).abs() < 1e-12);
        assert!((found_delay / delay - 1.0).abs() < 1e-12);
        if bias.abs() < 1e-12 && hysteresis.abs() < 1e-12 {
            // theta = P/4, k' = a/(d theta).
            assert!((cycle.period_s() / 4.0 - delay).abs() < 1e-12);
            assert!((cycle.above_percent / (10.0 * delay) - gain).abs() < 1e-12);
        }
    }
    assert_eq!(limit_cycle(1e-3, 10.0, relay(10.0, 0.0, 10.0)), None);
}

/// A relay at work on k'·e^(−θs)/s with load bias, stepped a tenth of a second at a time, read every second.
fn worked(gain: f64, delay_s: f64, bias: f64, noise_percent: f64, end_s: f64, seed: u64) -> Record {
    let mut noise = Noise::new(seed, noise_percent, 0.0);
    let tick_s = 0.1;
    let ticks = (delay_s / tick_s).round() as usize;
    let mut on_its_way = vec![0.0; ticks + 1];
    let (mut level, mut output) = (0.0_f64, 10.0);
    let (mut time, mut outputs, mut levels) = (Vec::new(), Vec::new(), Vec::new());
    for tick in 0..(end_s / tick_s) as usize {
        if level * gain.signum() > 0.3 {
            output = -10.0;
        } else if level * gain.signum() < -0.3 {
            output = 10.0;
        }
        if tick % 10 == 0 {
            time.push(tick as f64 * tick_s);
            outputs.push(50.0 + output);
            levels.push(55.0 + level + noise.draw());
        }
        let slot = tick % on_its_way.len();
        on_its_way[slot] = output;
        let arrives = on_its_way[(tick + 1) % on_its_way.len()];
        level += gain * (arrives + bias) * tick_s;
    }
    Record::sampled(time, outputs, levels).unwrap()
}

#[test]
fn property_relay_record_is_recovered() {
    for (gain, delay_s, bias, noise) in [
        (2e-3, 20.0, 0.0, 0.0),
        (2e-3, 20.0, 4.0, 0.05),
        (-3e-3, 15.0, -3.0, 0.05),
    ] {
        let mut held = [0; 2];
        for seed in 0..30 {
            let fit = identify_relay(&worked(gain, delay_s, bias, noise, 900.0, seed)).unwrap();
            held[0] += u32::from(
                fit.gain_per_s.holds(gain) || (fit.gain_per_s.value / gain - 1.0).abs() < 1e-3,
            );
            held[1] +=
                u32::from(fit.delay_s.holds(delay_s) || (fit.delay_s.value - delay_s).abs() < 0.2);
            assert!((fit.gain_per_s.value / gain - 1.0).abs() < 0.1, "{fit:?}");
            assert!((fit.delay_s.value / delay_s - 1.0).abs() < 0.15, "{fit:?}");
            // The load lacks `bias` of output: the level stands at 50 % less that.
            assert!((fit.balance_percent - (50.0 - bias)).abs() < 1.0, "{fit:?}");
        }
        assert!(
            held.iter().all(|count| *count >= 26),
            "{gain}: {held:?} of 30"
        );
    }
}

#[test]
fn property_relay_refuses_what_is_no_relay_test() {
    let whole = worked(2e-3, 20.0, 0.0, 0.05, 900.0, 1);
    assert!(identify_relay(&whole).is_ok());
    let code = |record: &Record| identify_relay(record).unwrap_err().code();
    assert_eq!(
        code(&worked(2e-3, 20.0, 0.0, 0.05, 150.0, 1)),
        "too-few-swings"
    );
    let noisy = {
        let mut noise = Noise::new(5, 40.0, 0.0);
        let levels = whole
            .indicated_level_percent()
            .iter()
            .map(|y| y + noise.draw())
            .collect();
        let output = whole
            .time_s()
            .iter()
            .map(|t| {
                let up = output_steps(&whole)
                    .steps
                    .iter()
                    .rfind(|s| s.time_s <= *t)
                    .is_none_or(|s| s.output_percent > 50.0);
                if up { 60.0 } else { 40.0 }
            })
            .collect();
        Record::sampled(whole.time_s().to_vec(), output, levels).unwrap()
    };
    assert_eq!(code(&noisy), "no-excitation");
    let staircase = (0..200).map(|i| 40.0 + f64::from(i / 40) * 5.0).collect();
    let times: Vec<f64> = (0..200).map(f64::from).collect();
    let levels = times.clone();
    assert_eq!(
        code(&Record::sampled(times, staircase, levels).unwrap()),
        "no-relay"
    );
}
