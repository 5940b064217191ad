//! Installed characteristics of a thousand different systems: valve and system solved together at 21 travels each.
//!
//! `one_by_one` solves the same flows by plain bisection, for the ratio.

use halfglass_core::description::feed_system::{
    Characteristic, Line, Pump, PumpPoint, Recirculation, Supply, ValveSize,
};
use halfglass_core::feedwater::friction::Friction;
use halfglass_core::feedwater::installed::{CURVE_POINTS, ValveInSystem};
use halfglass_core::feedwater::supply::Source;
use halfglass_core::feedwater::system::{Part, System};
use halfglass_core::quantity::AbsolutePressure;

const SYSTEMS: u32 = 1000;
const DENSITY_KG_M3: f64 = 965.0;

fn main() {
    divan::main();
}

/// Numbers between 0 and 1, the same in every run (a linear congruential generator).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
}

struct Case {
    system: System,
    size: ValveSize,
    characteristic: Characteristic,
}

fn line() -> Line {
    Line {
        parts: Vec::new(),
        valve_above_supply_m: 1.0,
        inlet_above_supply_m: 2.0,
        pipe_before_valve_m: 0.05,
        pipe_after_valve_m: 0.05,
    }
}

fn cases() -> Vec<Case> {
    let mut numbers = Numbers(7);
    (0..SYSTEMS).map(|_| case(&mut numbers)).collect()
}

fn case(numbers: &mut Numbers) -> Case {
    let head_m = numbers.between(110.0, 160.0);
    let point = |flow_m3_s, head_m| PumpPoint {
        flow_m3_s,
        head_m,
        npsh_required_m: None,
    };
    let supply = Supply::Pump(Pump {
        curve: vec![
            point(0.0, head_m),
            point(1.5e-3, head_m - numbers.between(2.0, 8.0)),
            point(3e-3, head_m - numbers.between(20.0, 50.0)),
        ],
        running: 1,
        standby: 0,
        suction_surface: AbsolutePressure::from_pa(101_325.0),
        suction_surface_above_pump_m: 3.0,
        suction_loss: None,
        minimum_flow_m3_s: None,
        recirculation: Recirculation::Continuous {
            flow_m3_s: numbers.between(0.0, 4e-4),
        },
        other_flow_kg_s: 0.0,
        variable_speed: false,
    });
    let pipe = |length_ratio| Part {
        friction: Friction::Pipe {
            diameter_m: 0.05,
            length_ratio,
            roughness_ratio: 9e-4,
            fittings_k: 6.0,
            density_kg_m3: DENSITY_KG_M3,
            viscosity_pa_s: 3.2e-4,
        },
        shared: false,
    };
    let source = Source::of(&supply, DENSITY_KG_M3, 9.806_65);
    let Ok(source) = source else {
        panic!("the bench's own pump is sound");
    };
    Case {
        system: System {
            source,
            before: vec![pipe(numbers.between(100.0, 800.0))],
            after: vec![pipe(numbers.between(100.0, 800.0))],
            static_before_pa: 9_460.0,
            static_after_pa: 9_460.0,
            vessel_pressure_pa: numbers.between(1.1e5, 9e5),
            supply_density_kg_m3: DENSITY_KG_M3,
            density_kg_m3: DENSITY_KG_M3,
            vapour_pressure_pa: 7e4,
            supply_vapour_pressure_pa: 7e4,
            kinematic_viscosity_m2_s: 3.3e-7,
        },
        size: ValveSize {
            name: String::new(),
            rated_kv_m3_h: numbers.between(2.0, 40.0),
            bore_m: 0.032,
            seat_diameter_m: None,
        },
        characteristic: Characteristic::EqualPercentage { rangeability: 50.0 },
    }
}

#[divan::bench]
fn thousand_systems(bencher: divan::Bencher<'_, '_>) {
    let cases = cases();
    let line = line();
    bencher.bench(|| {
        let mut sum = 0.0;
        for case in &cases {
            let valve =
                ValveInSystem::new(&case.system, &case.characteristic, &case.size, 0.9, &line);
            let flows = valve.flows(CURVE_POINTS);
            sum += flows.map_or(0.0, |flows| flows.iter().map(|(_, at)| at.flow_kg_s).sum());
        }
        sum
    });
}

#[divan::bench]
fn one_by_one(bencher: divan::Bencher<'_, '_>) {
    let cases = cases();
    let line = line();
    bencher.bench(|| {
        let mut sum = 0.0;
        for case in &cases {
            let valve =
                ValveInSystem::new(&case.system, &case.characteristic, &case.size, 0.9, &line);
            for index in 0..CURVE_POINTS {
                let travel = f64::from(index) / f64::from(CURVE_POINTS - 1);
                let share = 50_f64.powf(travel - 1.0);
                let (mut low, mut high) = (0.0, 10.0);
                for _ in 0..45 {
                    let middle: f64 = 0.5 * (low + high);
                    if valve.passes(middle, share) {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
                sum += low;
            }
        }
        sum
    });
}
