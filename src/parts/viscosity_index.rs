//! Viscosity index of an oil, and the viscosity at 100 C that belongs to one.

use crate::numerics::root;
use crate::units::{Quantity, Viscosity};

/// Lowest viscosity at 100 C of the standard, mm2/s.
const LOWEST: f64 = 2.0;
/// Highest viscosity at 100 C of the table; formulas hold above it, mm2/s.
const HIGHEST_OF_TABLE: f64 = 70.0;

/// Viscosity index: how little the viscosity falls between 40 and 100 C.
///
/// # Mathematics
/// `Y` is the viscosity at 100 C, `U` that at 40 C; `L` and `H` are those at 40 C of oils of index 0 and 100
/// with the same `Y`: from the table, straight between its places, or above 70 mm2/s
/// `L = 0.8353 Y^2 + 14.67 Y - 216`, `H = 0.1684 Y^2 + 11.85 Y - 97`.
/// - `U >= H`: `100 (L - U) / (L - H)`
/// - `U < H`: `100 + (10^N - 1) / 0.00715` with `N = log(H / U) / log Y`
///
/// # Arguments
/// - `at_40`, `at_100`: kinematic viscosities, `2 mm2/s <= at_100 < at_40`.
///
/// # Errors
/// Says what was found and what is accepted.
///
/// # Source
/// ASTM D2270, procedures A (clause 5) and B (clause 6) and table 1 (`tests/reference/d2270_L_H.csv`). The
/// standard rounds the answer to a whole number; this is left out.
///
/// # Examples
/// ASTM D2270, clauses 5.1.4 and 6.1.4: 92 and 156.
/// ```
/// use sumpwright::{parts::oil, units::parse};
/// let index = oil::viscosity_index(parse("73.30 mm2/s")?, parse("8.86 mm2/s")?)?;
/// assert_eq!(index.round(), 92.0);
/// let index = oil::viscosity_index(parse("22.83 mm2/s")?, parse("5.05 mm2/s")?)?;
/// assert_eq!(index.round(), 156.0);
/// # Ok::<(), String>(())
/// ```
pub fn viscosity_index(at_40: Viscosity, at_100: Viscosity) -> Result<f64, String> {
    let (u, y) = (at_40.si() * 1e6, at_100.si() * 1e6);
    if y >= LOWEST * (1.0 - 1e-9) && y < u && u.is_finite() {
        Ok(index(u, y))
    } else {
        Err(format!(
            "viscosities: found {u} mm2/s at 40 C and {y} at 100 C, accepted 2 or more at 100 C and more at 40 C"
        ))
    }
}

/// The viscosity at 100 C of an oil of known viscosity at 40 C and viscosity index: [`viscosity_index`] the
/// other way.
///
/// # Arguments
/// - `at_40`: 3 to 5000 mm2/s.
/// - `index`: 0 to 400, and no less than what 2 mm2/s at 100 C gives.
///
/// # Errors
/// Says what was found and what is accepted.
///
/// # Source
/// ASTM D2270, solved by [`root`] to 1e-10 mm2/s.
///
/// # Examples
/// ISO VG 46 of index 100: 6.76036 mm2/s (`tests/reference/walther_constants.csv`).
/// ```
/// use sumpwright::{parts::oil, units::{parse, Quantity}};
/// let at_100 = oil::viscosity_at_100(parse("46 mm2/s")?, 100.0)?;
/// assert!((at_100.in_unit("mm2/s").unwrap() - 6.76036).abs() < 1e-5);
/// # Ok::<(), String>(())
/// ```
pub fn viscosity_at_100(at_40: Viscosity, index: f64) -> Result<Viscosity, String> {
    let u = at_40.si() * 1e6;
    if !(3.0..=5000.0).contains(&u) {
        return Err(format!("viscosity at 40 C: found {u} mm2/s, accepted 3 to 5000 mm2/s"));
    }
    if !(0.0..=400.0).contains(&index) {
        return Err(format!("viscosity index: found {index}, accepted 0 to 400"));
    }
    root(|y| self::index(u, y) - index, LOWEST, u, 1e-10)
        .map(|y| Viscosity::from_si(y * 1e-6))
        .ok_or_else(|| format!("viscosity index: found {index}, which no oil of {u} mm2/s at 40 C has"))
}

/// The index of checked viscosities in mm2/s.
fn index(u: f64, y: f64) -> f64 {
    let (l, h) = low_and_high(y);
    if u >= h { 100.0 * (l - u) / (l - h) } else { 100.0 + ((h / u).powf(1.0 / y.log10()) - 1.0) / 0.00715 }
}

/// `L` and `H` for a viscosity at 100 C in mm2/s.
fn low_and_high(y: f64) -> (f64, f64) {
    if y >= HIGHEST_OF_TABLE {
        return (0.8353 * y * y + 14.67 * y - 216.0, 0.1684 * y * y + 11.85 * y - 97.0);
    }
    // the table goes in steps of 0.1 to 20, of 0.2 to 30, of 0.5 to 70 mm2/s
    let place = if y < 20.0 {
        (y - 2.0) * 10.0
    } else if y < 30.0 {
        180.0 + (y - 20.0) * 5.0
    } else {
        230.0 + (y - 30.0) * 2.0
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0 to 310; a negative place gives 0"
    )]
    let below = (place as usize).min(L.len() - 2);
    #[expect(clippy::cast_precision_loss, reason = "at most 310")]
    let share = place - below as f64;
    let between = |table: &[f64]| table[below] + share * (table[below + 1] - table[below]);
    (between(&L), between(&H))
}

/// Viscosity at 40 C, mm2/s, of the oil of index 0 at each place of the table.
const L: [f64; 311] = [
    7.994, 8.64, 9.309, 10.0, 10.71, 11.45, 12.21, 13.0, 13.8, 14.63, 15.49, 16.36, 17.26, 18.18, 19.12,
    20.09, 21.08, 22.09, 23.13, 24.19, 25.32, 26.5, 27.75, 29.07, 30.48, 31.96, 33.52, 35.13, 36.79, 38.5,
    40.23, 41.99, 43.76, 45.53, 47.31, 49.09, 50.87, 52.64, 54.42, 56.2, 57.97, 59.74, 61.52, 63.32, 65.18,
    67.12, 69.16, 71.29, 73.48, 75.72, 78.0, 80.25, 82.39, 84.53, 86.66, 88.85, 91.04, 93.2, 95.43, 97.72,
    100.0, 102.3, 104.6, 106.9, 109.2, 111.5, 113.9, 116.2, 118.5, 120.9, 123.3, 125.7, 128.0, 130.4, 132.8,
    135.3, 137.7, 140.1, 142.7, 145.2, 147.7, 150.3, 152.9, 155.4, 158.0, 160.6, 163.2, 165.8, 168.5, 171.2,
    173.9, 176.6, 179.4, 182.1, 184.9, 187.6, 190.4, 193.3, 196.2, 199.0, 201.9, 204.8, 207.8, 210.7, 213.6,
    216.6, 219.6, 222.6, 225.7, 228.8, 231.9, 235.0, 238.1, 241.2, 244.3, 247.4, 250.6, 253.8, 257.0, 260.1,
    263.3, 266.6, 269.8, 273.0, 276.3, 279.6, 283.0, 286.4, 289.7, 293.0, 296.5, 300.0, 303.4, 306.9, 310.3,
    313.9, 317.5, 321.1, 324.6, 328.3, 331.9, 335.5, 339.2, 342.9, 346.6, 350.3, 354.1, 358.0, 361.7, 365.6,
    369.4, 373.3, 377.1, 381.0, 384.9, 388.9, 392.7, 396.7, 400.7, 404.6, 408.6, 412.6, 416.7, 420.7, 424.9,
    429.0, 433.2, 437.3, 441.5, 445.7, 449.9, 454.2, 458.4, 462.7, 467.0, 471.3, 475.7, 479.7, 483.9, 488.6,
    493.2, 501.5, 510.8, 519.9, 528.8, 538.4, 547.5, 556.7, 566.4, 575.6, 585.2, 595.0, 604.3, 614.2, 624.1,
    633.6, 643.4, 653.8, 663.3, 673.7, 683.9, 694.5, 704.2, 714.9, 725.7, 736.5, 747.2, 758.2, 769.3, 779.7,
    790.4, 801.6, 812.8, 824.1, 835.5, 847.0, 857.5, 869.0, 880.6, 892.3, 904.1, 915.8, 927.6, 938.6, 951.2,
    963.4, 975.4, 987.1, 998.9, 1011.0, 1023.0, 1055.0, 1086.0, 1119.0, 1151.0, 1184.0, 1217.0, 1251.0,
    1286.0, 1321.0, 1356.0, 1391.0, 1427.0, 1464.0, 1501.0, 1538.0, 1575.0, 1613.0, 1651.0, 1691.0, 1730.0,
    1770.0, 1810.0, 1851.0, 1892.0, 1935.0, 1978.0, 2021.0, 2064.0, 2108.0, 2152.0, 2197.0, 2243.0, 2288.0,
    2333.0, 2380.0, 2426.0, 2473.0, 2521.0, 2570.0, 2618.0, 2667.0, 2717.0, 2767.0, 2817.0, 2867.0, 2918.0,
    2969.0, 3020.0, 3073.0, 3126.0, 3180.0, 3233.0, 3286.0, 3340.0, 3396.0, 3452.0, 3507.0, 3563.0, 3619.0,
    3676.0, 3734.0, 3792.0, 3850.0, 3908.0, 3966.0, 4026.0, 4087.0, 4147.0, 4207.0, 4268.0, 4329.0, 4392.0,
    4455.0, 4517.0, 4580.0, 4645.0, 4709.0, 4773.0, 4839.0, 4905.0,
];

/// Viscosity at 40 C, mm2/s, of the oil of index 100 at each place of the table.
const H: [f64; 311] = [
    6.394, 6.894, 7.41, 7.944, 8.496, 9.063, 9.647, 10.25, 10.87, 11.5, 12.15, 12.82, 13.51, 14.21, 14.93,
    15.66, 16.42, 17.19, 17.97, 18.77, 19.56, 20.37, 21.21, 22.05, 22.92, 23.81, 24.71, 25.63, 26.57, 27.53,
    28.49, 29.46, 30.43, 31.4, 32.37, 33.34, 34.32, 35.29, 36.26, 37.23, 38.19, 39.17, 40.15, 41.13, 42.14,
    43.18, 44.24, 45.33, 46.44, 47.51, 48.57, 49.61, 50.69, 51.78, 52.88, 53.98, 55.09, 56.2, 57.31, 58.45,
    59.6, 60.74, 61.89, 63.05, 64.18, 65.32, 66.48, 67.64, 68.79, 69.94, 71.1, 72.27, 73.42, 74.57, 75.73,
    76.91, 78.08, 79.27, 80.46, 81.67, 82.87, 84.08, 85.3, 86.51, 87.72, 88.95, 90.19, 91.4, 92.65, 93.92,
    95.19, 96.45, 97.71, 98.97, 100.2, 101.5, 102.8, 104.1, 105.4, 106.7, 108.0, 109.4, 110.7, 112.0, 113.3,
    114.7, 116.0, 117.4, 118.7, 120.1, 121.5, 122.9, 124.2, 125.6, 127.0, 128.4, 129.8, 131.2, 132.6, 134.0,
    135.4, 136.8, 138.2, 139.6, 141.0, 142.4, 143.9, 145.3, 146.8, 148.2, 149.7, 151.2, 152.6, 154.1, 155.6,
    157.0, 158.6, 160.1, 161.6, 163.1, 164.6, 166.1, 167.7, 169.2, 170.7, 172.3, 173.8, 175.4, 177.0, 178.6,
    180.2, 181.7, 183.3, 184.9, 186.5, 188.1, 189.7, 191.3, 192.9, 194.6, 196.2, 197.8, 199.4, 201.0, 202.6,
    204.3, 205.9, 207.6, 209.3, 211.0, 212.7, 214.4, 216.1, 217.7, 219.4, 221.1, 222.8, 224.5, 226.2, 227.7,
    229.5, 233.0, 236.4, 240.1, 243.5, 247.1, 250.7, 254.2, 257.8, 261.5, 264.9, 268.6, 272.3, 275.8, 279.6,
    283.3, 286.8, 290.5, 294.4, 297.9, 301.8, 305.6, 309.4, 313.0, 317.0, 320.9, 324.9, 328.8, 332.7, 336.7,
    340.5, 344.4, 348.4, 352.3, 356.4, 360.5, 364.6, 368.3, 372.3, 376.4, 380.6, 384.6, 388.8, 393.0, 396.6,
    401.1, 405.3, 409.5, 413.5, 417.6, 421.7, 432.4, 443.2, 454.0, 464.9, 475.9, 487.0, 498.1, 509.6, 521.1,
    532.5, 544.0, 555.6, 567.1, 579.3, 591.3, 603.1, 615.0, 627.1, 639.2, 651.8, 664.2, 676.6, 689.1, 701.9,
    714.9, 728.2, 741.3, 754.4, 767.6, 780.9, 794.5, 808.2, 821.9, 835.5, 849.2, 863.0, 876.9, 890.9, 905.3,
    919.6, 933.6, 948.2, 962.9, 977.5, 992.1, 1007.0, 1021.0, 1036.0, 1051.0, 1066.0, 1082.0, 1097.0, 1112.0,
    1127.0, 1143.0, 1159.0, 1175.0, 1190.0, 1206.0, 1222.0, 1238.0, 1254.0, 1270.0, 1286.0, 1303.0, 1319.0,
    1336.0, 1352.0, 1369.0, 1386.0, 1402.0, 1419.0, 1436.0, 1454.0, 1471.0, 1488.0, 1506.0, 1523.0, 1541.0,
    1558.0,
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::reference::{near, rows};

    fn mm2_s(value: f64) -> Viscosity {
        Viscosity::from_si(value * 1e-6)
    }

    #[test]
    fn table_is_that_of_the_standard() {
        for row in rows(include_str!("../../tests/reference/d2270_L_H.csv")) {
            let (l, h) = low_and_high(row[0]);
            // at 70 the formulas begin, 0.03 % beside the table
            let allowed = if row[0] < 70.0 { 1e-12 } else { 5e-4 };
            assert!(near(l, row[1], allowed) && near(h, row[2], allowed), "{row:?} {l} {h}");
        }
    }

    #[test]
    fn index_agrees_with_the_reference() {
        for row in rows(include_str!("../../tests/reference/viscosity_index.csv")) {
            let found = viscosity_index(mm2_s(row[0]), mm2_s(row[1])).unwrap();
            assert!(near(found, row[2], 1e-6), "{row:?} {found}");
        }
    }

    #[test]
    fn viscosity_at_100_agrees_with_the_reference() {
        for row in rows(include_str!("../../tests/reference/walther_constants.csv")) {
            let found = viscosity_at_100(mm2_s(row[0]), row[1]).unwrap().si() * 1e6;
            // seven digits in the table
            assert!(near(found, row[2], 5e-7), "{row:?} {found}");
        }
    }

    #[test]
    fn each_way_undoes_the_other() {
        for at_40 in [10.0, 22.0, 46.0, 150.0, 460.0, 1500.0] {
            for require in [40.0, 95.0, 100.0, 100.1, 140.0, 200.0] {
                let at_100 = viscosity_at_100(mm2_s(at_40), require).unwrap();
                let found = viscosity_index(mm2_s(at_40), at_100).unwrap();
                assert!((found - require).abs() < 1e-6, "{at_40} {require} {found}");
            }
        }
    }

    #[test]
    fn what_the_standard_does_not_cover_is_refused() {
        assert!(viscosity_index(mm2_s(46.0), mm2_s(1.9)).is_err());
        assert!(viscosity_index(mm2_s(6.0), mm2_s(6.0)).is_err());
        assert!(viscosity_index(mm2_s(f64::NAN), mm2_s(6.0)).is_err());
        assert!(viscosity_at_100(mm2_s(46.0), -5.0).is_err());
        assert!(viscosity_at_100(mm2_s(2.5), 100.0).is_err());
    }
}
