//! The coefficient tables of `reference/`, read once.

use std::sync::OnceLock;

use crate::component::{COMPONENT_COUNT, Component};

/// Vapour pressure of one substance.
#[derive(Debug, Clone, Copy)]
pub(crate) enum VapourPressure {
    /// Wagner 2.5-5: critical temperature K, critical pressure Pa, A, B, C, D.
    Wagner { tc_k: f64, pc_pa: f64, abcd: [f64; 4] },
    /// Antoine in ln, Pa, K: A + B / (T + C).
    Antoine { a: f64, b_k: f64, c_k: f64 },
}

/// All coefficients of one substance.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Coefficients {
    pub(crate) molar_mass_g_mol: f64,
    pub(crate) vapour_pressure: VapourPressure,
    /// PPDS12: critical temperature K, A to E.
    pub(crate) latent: [f64; 6],
    /// c0, c1, c2 about 298.15 K.
    pub(crate) cp_liquid: [f64; 3],
    /// c0, c1, c2 about 298.15 K.
    pub(crate) cp_gas: [f64; 3],
    /// PPDS2: critical temperature K, critical density kg/m³, A to D.
    pub(crate) density: [f64; 6],
}

/// One NRTL pair: `tau_ij = a_ij + b_ij / T`.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Pair {
    pub(crate) a: f64,
    pub(crate) b_k: f64,
    pub(crate) alpha: f64,
}

pub(crate) struct Tables {
    pub(crate) pure: [Coefficients; COMPONENT_COUNT],
    pub(crate) pairs: [[Pair; COMPONENT_COUNT]; COMPONENT_COUNT],
}

/// The tables, parsed at first use.
pub(crate) fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(|| Tables { pure: read_pure(), pairs: read_pairs() })
}

/// The cells of one CSV line; a quoted cell may hold commas.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for character in line.chars() {
        match character {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            other => cells.last_mut().expect("never empty").push(other),
        }
    }
    cells
}

/// `count` numbers from column `first` on of the row of `component`, if it has one.
fn numbers<const K: usize>(text: &str, component: Component, first: usize) -> Option<[f64; K]> {
    let row = text.lines().skip(1).map(cells).find(|row| row[0] == component.name())?;
    let mut values = [0.0; K];
    for (offset, value) in values.iter_mut().enumerate() {
        *value = row[first + offset].parse().expect("bundled tables hold numbers");
    }
    Some(values)
}

/// The substance whose data stand in where a table has no row: 3-methyl-1-butanol for its isomer;
/// ethyl acetate (of like size and polarity, an assumption without source) for the other two.
fn stand_in(component: Component) -> Component {
    match component {
        Component::ActiveAmylAlcohol => Component::IsoamylAlcohol,
        _ => Component::EthylAcetate,
    }
}

fn or_stand_in<const K: usize>(text: &str, component: Component, first: usize) -> [f64; K] {
    numbers(text, component, first)
        .or_else(|| numbers(text, stand_in(component), first))
        .expect("every substance or its stand-in has a row")
}

fn vapour_pressure(component: Component) -> VapourPressure {
    let antoine = include_str!("../reference/psat_antoine.csv");
    let wagner = include_str!("../reference/psat_wagner.csv");
    if let Some([a, b_k, c_k]) = numbers(antoine, component, 2) {
        return VapourPressure::Antoine { a, b_k, c_k };
    }
    let [tc_k, pc_pa, a, b, c, d] = numbers(wagner, component, 2).expect("Wagner or Antoine row");
    VapourPressure::Wagner { tc_k, pc_pa, abcd: [a, b, c, d] }
}

fn read_pure() -> [Coefficients; COMPONENT_COUNT] {
    Component::ALL.map(|component| Coefficients {
        molar_mass_g_mol: or_stand_in::<1>(
            include_str!("../reference/constants.csv"),
            component,
            2,
        )[0],
        vapour_pressure: vapour_pressure(component),
        latent: or_stand_in(include_str!("../reference/hvap_ppds12.csv"), component, 2),
        cp_liquid: or_stand_in(include_str!("../reference/cp_liquid_poly.csv"), component, 2),
        cp_gas: or_stand_in(include_str!("../reference/cp_ideal_gas_poly.csv"), component, 2),
        density: or_stand_in(include_str!("../reference/rho_liquid_ppds2.csv"), component, 2),
    })
}

fn read_pairs() -> [[Pair; COMPONENT_COUNT]; COMPONENT_COUNT] {
    let mut pairs = [[Pair::default(); COMPONENT_COUNT]; COMPONENT_COUNT];
    for row in include_str!("../reference/nrtl_parameters.csv").lines().skip(1).map(cells) {
        let component = |name: &str| Component::from_name(name).expect("bundled names").index();
        let number = |text: &str| text.parse::<f64>().expect("bundled tables hold numbers");
        let (i, j, alpha) = (component(&row[0]), component(&row[1]), number(&row[6]));
        pairs[i][j] = Pair { a: number(&row[2]), b_k: number(&row[3]), alpha };
        pairs[j][i] = Pair { a: number(&row[4]), b_k: number(&row[5]), alpha };
    }
    pairs
}
