//! The coefficients of the general formula of OIML R 22, digit for digit as its annex prints them.
//!
//! A test holds them against `reference/oiml_r22_coefficients.csv`, text against text.

/// `A[k-1]`: power `k-1` of the mass fraction at 20 °C, kg/m³.
pub(crate) const A: [f64; 12] = [
    9.982012300e+02,
    -1.929769495e+02,
    3.891238958e+02,
    -1.668103923e+03,
    1.352215441e+04,
    -8.829278388e+04,
    3.062874042e+05,
    -6.138381234e+05,
    7.470172998e+05,
    -5.478461354e+05,
    2.234460334e+05,
    -3.903285426e+04,
];

/// `B[k-1]`: power `k` of `t - 20`, for pure water, kg/m³ per K^k.
pub(crate) const B: [f64; 6] =
    [-2.0618513e-01, -5.2682542e-03, 3.6130013e-05, -3.8957702e-07, 7.1693540e-09, -9.9739231e-11];

/// `C1[k-1]`: power `k` of the mass fraction times power 1 of `t - 20`.
pub(crate) const C1: [f64; 11] = [
    1.693443461530087e-01,
    -1.046914743455169e+01,
    7.196353469546523e+01,
    -7.047478054272792e+02,
    3.924090430035045e+03,
    -1.210164659068747e+04,
    2.248646550400788e+04,
    -2.605562982188164e+04,
    1.852373922069467e+04,
    -7.420201433430137e+03,
    1.285617841998974e+03,
];

/// `C2[k-1]`: power `k` of the mass fraction times power 2 of `t - 20`.
pub(crate) const C2: [f64; 10] = [
    -1.193013005057010e-02,
    2.517399633803461e-01,
    -2.170575700536993e+00,
    1.353034988843029e+01,
    -5.029988758547014e+01,
    1.096355666577570e+02,
    -1.422753946421155e+02,
    1.080435942856230e+02,
    -4.414153236817392e+01,
    7.442971530188783e+00,
];

/// `C3[k-1]`: power `k` of the mass fraction times power 3 of `t - 20`.
pub(crate) const C3: [f64; 9] = [
    -6.802995733503803e-04,
    1.876837790289664e-02,
    -2.002561813734156e-01,
    1.022992966719220e+00,
    -2.895696483903638e+00,
    4.810060584300675e+00,
    -4.672147440794683e+00,
    2.458043105903461e+00,
    -5.411227621436812e-01,
];

/// `C4[k-1]`: power `k` of the mass fraction times power 4 of `t - 20`.
pub(crate) const C4: [f64; 4] =
    [4.075376675622027e-06, -8.763058573471110e-06, 6.515031360099368e-06, -1.515784836987210e-06];

/// `C5[k-1]`: power `k` of the mass fraction times power 5 of `t - 20`.
pub(crate) const C5: [f64; 2] = [-2.788074354782409e-08, 1.345612883493354e-08];

#[cfg(test)]
mod tests {
    use super::{A, B, C1, C2, C3, C4, C5};

    /// The rows of one set in the order of the file, as text and as numbers.
    fn printed(set: &str, row: &str) -> Vec<String> {
        include_str!("../reference/oiml_r22_coefficients.csv")
            .lines()
            .skip(1)
            .map(|line| line.split(',').collect::<Vec<_>>())
            .filter(|cells| cells[0] == set && (set != "C" || cells[1] == row))
            .map(|cells| cells[3].to_owned())
            .collect()
    }

    #[test]
    fn val_every_coefficient_stands_as_the_annex_prints_it() {
        let source = include_str!("coefficients.rs");
        let sets: [(&str, &str, &[f64]); 7] = [
            ("A", "", &A),
            ("B", "", &B),
            ("C", "1", &C1),
            ("C", "2", &C2),
            ("C", "3", &C3),
            ("C", "4", &C4),
            ("C", "5", &C5),
        ];
        for (set, row, held) in sets {
            let printed = printed(set, row);
            assert_eq!(printed.len(), held.len(), "{set}{row}");
            for (text, value) in printed.iter().zip(held) {
                assert_eq!(text.parse::<f64>(), Ok(*value), "{set}{row} {text}");
                assert!(source.contains(text.as_str()), "{set}{row} {text}");
            }
        }
    }
}
