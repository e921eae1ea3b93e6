//! Ethanol and water at the boil by van Laar's equation and Antoine's: an equilibrium apart from the
//! product's, with a table of it for the range of pressures of one run.

/// Van Laar's constants of ethanol in water and of water in ethanol, each pair from an azeotrope
/// alone as Carlson and Colburn (1942, from memory) do it: x 0.900 at 78.15 °C and 0.904 at 78.17,
/// at 101.325 kPa, the ends of what is published (reference of the crate `thermo`). Measured points
/// of weak liquids lie about both: Carey and Lewis's at the first, Kamihama's at the second.
const VAN_LAAR: [[f64; 2]; 2] = [[1.6702, 0.9469], [1.7408, 0.9355]];
/// Antoine's constants of ethanol and water, log10 of mmHg by °C (Gmehling and Onken, from memory).
const ANTOINE: [[f64; 3]; 2] = [[8.11220, 1592.864, 226.184], [8.07131, 1730.630, 233.426]];
const PA_PER_MMHG: f64 = 133.322368;
/// 0 °C, K.
pub(super) const ICE_POINT_K: f64 = 273.15;
/// Nodes of the table; closer together for weak liquids, where the vapour changes fastest.
const NODES: usize = 1500;
/// Steps of Newton's method; it gains two digits in each.
const ROUNDS: usize = 8;

fn vapour_pressures_pa(kelvin: f64) -> [f64; 2] {
    ANTOINE.map(|[a, b, c]| PA_PER_MMHG * 10f64.powf(a - b / (kelvin - ICE_POINT_K + c)))
}

/// The mixture: van Laar's constants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Mixture([f64; 2]);

fn activities(Mixture([a, b]): Mixture, x: f64) -> [f64; 2] {
    let (ethanol, water) = (a * x, b * (1.0 - x));
    let all = ethanol + water;
    [(a * (water / all).powi(2)).exp(), (b * (ethanol / all).powi(2)).exp()]
}

/// What boils: its temperature, K, and the mole fraction of ethanol in its vapour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Boil {
    pub(super) kelvin: f64,
    pub(super) y: f64,
}

impl Mixture {
    /// So far from the one end of what is published to the other.
    pub(super) fn at(share: f64) -> Self {
        let [one, other] = VAN_LAAR;
        Self([0, 1].map(|at| one[at] + share * (other[at] - one[at])))
    }

    /// The bubble point of a liquid of mole fraction `x` of ethanol.
    pub(super) fn bubble(self, x: f64, pressure_pa: f64) -> Boil {
        let [ethanol, water] = activities(self, x);
        let pressures = |kelvin: f64| {
            let [e, w] = vapour_pressures_pa(kelvin);
            (x * ethanol * e, (1.0 - x) * water * w)
        };
        let mut kelvin = 360.0;
        for _ in 0..ROUNDS {
            let (e, w) = pressures(kelvin);
            let (e_up, w_up) = pressures(kelvin + 0.01);
            let slope = ((e_up + w_up).ln() - (e + w).ln()) / 0.01;
            kelvin -= ((e + w) / pressure_pa).ln() / slope;
        }
        Boil { kelvin, y: pressures(kelvin).0 / pressure_pa }
    }
}

/// How much a head at that pressure shows over one at 1013.25 hPa, K (of a liquid of x 0.85, as
/// recordings with known truth define it).
pub(super) fn over_normal_k(pressure_pa: f64) -> f64 {
    let middle = Mixture::at(0.5);
    middle.bubble(0.85, pressure_pa).kelvin - middle.bubble(0.85, 101_325.0).kelvin
}

/// Bubble points at two pressures, between which all of a run lies.
#[derive(Debug, Clone)]
pub(super) struct Boiling {
    low_pa: f64,
    high_pa: f64,
    nodes: Vec<[Boil; 2]>,
}

impl Boiling {
    pub(super) fn new(of: Mixture, low_pa: f64, high_pa: f64) -> Self {
        let at = |node: usize| {
            let x = (node as f64 / NODES as f64).powi(2);
            [of.bubble(x, low_pa), of.bubble(x, high_pa)]
        };
        Self { low_pa, high_pa, nodes: (0..=NODES).map(at).collect() }
    }

    /// The bubble point, in straight lines between nodes and between the two pressures.
    pub(super) fn at(&self, x: f64, pressure_pa: f64) -> Boil {
        let place = x.clamp(0.0, 1.0).sqrt() * NODES as f64;
        // Truncation is the point: the node below.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=NODES")]
        let node = (place as usize).min(NODES - 1);
        let share = place - node as f64;
        let high = (pressure_pa - self.low_pa) / (self.high_pa - self.low_pa);
        let between = |value: fn(&Boil) -> f64| {
            let [at, next] = [node, node + 1].map(|node| {
                let [a, b] = &self.nodes[node];
                value(a) + high * (value(b) - value(a))
            });
            at + share * (next - at)
        };
        Boil { kelvin: between(|boil| boil.kelvin), y: between(|boil| boil.y) }
    }

    /// By how many kelvins a liquid boils higher for each mole fraction of ethanol more.
    pub(super) fn slope_k(&self, x: f64, pressure_pa: f64) -> f64 {
        let (low, high) = ((x * 0.98).min(0.999), (x * 1.02 + 1e-6).min(1.0));
        (self.at(high, pressure_pa).kelvin - self.at(low, pressure_pa).kelvin) / (high - low)
    }

    /// Temperature at which vapour of mole fraction `y` condenses, K.
    pub(super) fn dew_k(&self, y: f64, pressure_pa: f64) -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..40 {
            let x = 0.5 * (low + high);
            if self.at(x, pressure_pa).y < y { low = x } else { high = x }
        }
        self.at(low, pressure_pa).kelvin
    }
}
