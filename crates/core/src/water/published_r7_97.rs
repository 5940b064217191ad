//! The verification tables of IAPWS R7-97(2012), to their nine printed digits.
//!
//! Where this crate wraps a property the wrapper is tested; the other columns test the water
//! library itself, so that a new version of it cannot drift unseen.

use super::*;

/// Half a unit in the ninth digit, at worst (a leading digit 1).
const PRINTED: f64 = 5e-9;

fn check(what: &str, got: f64, expected: f64) {
    assert!(
        (got / expected - 1.0).abs() <= PRINTED,
        "{what}: {got} against {expected}"
    );
}

const COLUMNS: [i32; 5] = [
    seuif97::OH,
    seuif97::OU,
    seuif97::OS,
    seuif97::OCP,
    seuif97::OW,
];

#[test]
fn published_table_5_region_1() {
    for (t, p_mpa, v, rest) in [
        (
            300.0,
            3.0,
            0.100215168e-2,
            [
                0.115331273e3,
                0.112324818e3,
                0.392294792,
                0.417301218e1,
                0.150773921e4,
            ],
        ),
        (
            300.0,
            80.0,
            0.971180894e-3,
            [
                0.184142828e3,
                0.106448356e3,
                0.368563852,
                0.401008987e1,
                0.163469054e4,
            ],
        ),
        (
            500.0,
            3.0,
            0.120241800e-2,
            [
                0.975542239e3,
                0.971934985e3,
                0.258041912e1,
                0.465580682e1,
                0.124071337e4,
            ],
        ),
    ] {
        let p = p_mpa * 1e6;
        check("v", 1.0 / compressed_water_density_kg_m3(t, p).unwrap(), v);
        check(
            "h",
            compressed_water_enthalpy_j_kg(t, p).unwrap(),
            rest[0] * 1e3,
        );
        for (id, expected) in COLUMNS.into_iter().zip(rest) {
            check("column", seuif97::pt(p_mpa, t - 273.15, (id, 1)), expected);
        }
    }
}

#[test]
fn published_table_15_region_2() {
    for (t, p_mpa, v, rest) in [
        (
            300.0,
            0.0035,
            0.394913866e2,
            [
                0.254991145e4,
                0.241169160e4,
                0.852238967e1,
                0.191300162e1,
                0.427920172e3,
            ],
        ),
        (
            700.0,
            0.0035,
            0.923015898e2,
            [
                0.333568375e4,
                0.301262819e4,
                0.101749996e2,
                0.208141274e1,
                0.644289068e3,
            ],
        ),
        (
            700.0,
            30.0,
            0.542946619e-2,
            [
                0.263149474e4,
                0.246861076e4,
                0.517540298e1,
                0.103505092e2,
                0.480386523e3,
            ],
        ),
    ] {
        let density = if97::density("steam", if97::Region::Vapour, t, p_mpa * 1e6).unwrap();
        check("v", 1.0 / density, v);
        let enthalpy = if97::enthalpy("steam", if97::Region::Vapour, t, p_mpa * 1e6).unwrap();
        check("h", enthalpy, rest[0] * 1e3);
        for (id, expected) in COLUMNS.into_iter().zip(rest) {
            check("column", seuif97::pt(p_mpa, t - 273.15, (id, 2)), expected);
        }
    }
}

#[test]
fn published_table_33_region_3() {
    let columns = [seuif97::OP].into_iter().chain(COLUMNS);
    for (t, density, expected) in [
        (
            650.0,
            500.0,
            [
                0.255837018e2,
                0.186343019e4,
                0.181226279e4,
                0.405427273e1,
                0.138935717e2,
                0.502005554e3,
            ],
        ),
        (
            650.0,
            200.0,
            [
                0.222930643e2,
                0.237512401e4,
                0.226365868e4,
                0.485438792e1,
                0.446579342e2,
                0.383444594e3,
            ],
        ),
        (
            750.0,
            500.0,
            [
                0.783095639e2,
                0.225868845e4,
                0.210206932e4,
                0.446971906e1,
                0.634165359e1,
                0.760696041e3,
            ],
        ),
    ] {
        for (id, expected) in columns.clone().zip(expected) {
            check(
                "column",
                seuif97::tv(t - 273.15, 1.0 / density, (id, 3)),
                expected,
            );
        }
    }
}

#[test]
fn published_table_35_saturation_pressure() {
    for (t, p_mpa) in [
        (300.0, 0.353658941e-2),
        (500.0, 0.263889776e1),
        (600.0, 0.123443146e2),
    ] {
        check("psat", saturation_pressure_pa(t).unwrap(), p_mpa * 1e6);
    }
}

#[test]
fn published_table_36_saturation_temperature() {
    for (p_mpa, t) in [
        (0.1, 0.372755919e3),
        (1.0, 0.453035632e3),
        (10.0, 0.584149488e3),
    ] {
        check("Tsat", saturation_temperature_k(p_mpa * 1e6).unwrap(), t);
    }
}

#[test]
fn published_table_7_temperature_from_enthalpy_region_1() {
    for (p_mpa, h, t) in [
        (3.0, 500.0, 0.391798509e3),
        (80.0, 500.0, 0.378108626e3),
        (80.0, 1500.0, 0.611041229e3),
    ] {
        check(
            "T(p,h)",
            seuif97::ph(p_mpa, h, (seuif97::OT, 1)) + 273.15,
            t,
        );
    }
}

#[test]
fn published_table_24_temperature_from_enthalpy_region_2() {
    for (p_mpa, h, t) in [
        (0.001, 3000.0, 0.534433241e3),
        (3.0, 3000.0, 0.575373370e3),
        (3.0, 4000.0, 0.101077577e4),
        (5.0, 3500.0, 0.801299102e3),
        (5.0, 4000.0, 0.101531583e4),
        (25.0, 3500.0, 0.875279054e3),
        (40.0, 2700.0, 0.743056411e3),
        (60.0, 2700.0, 0.791137067e3),
        (60.0, 3200.0, 0.882756860e3),
    ] {
        check(
            "T(p,h)",
            seuif97::ph(p_mpa, h, (seuif97::OT, 2)) + 273.15,
            t,
        );
    }
}
