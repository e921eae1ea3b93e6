//! Strength by volume to mass fraction: how many exact inversions one core makes in a second.

use alcoholometry::{inverse, kernel, strength};
use divan::counter::ItemsCount;
use divan::{Bencher, black_box};

const MANY: u32 = 100_000;

fn main() {
    divan::main();
}

fn each(bencher: Bencher<'_, '_>, invert: impl Fn(f64) -> f64 + Sync) {
    bencher.counter(ItemsCount::new(MANY)).bench(|| {
        (0..MANY).map(|i| invert(black_box(f64::from(i) / f64::from(MANY)))).sum::<f64>()
    });
}

/// The exact inversion at 20 °C: the target is 1 000 000 items a second or more.
#[divan::bench]
fn exact_20c(bencher: Bencher<'_, '_>) {
    each(bencher, kernel::mass_fraction_from_vol20);
}

/// The interpolated inversion at 20 °C.
#[divan::bench]
fn fast_20c(bencher: Bencher<'_, '_>) {
    each(bencher, inverse::mass_fraction_from_vol20_fast);
}

/// The exact inversion at another reference temperature, isotherm and checks included.
#[divan::bench]
fn exact_60f(bencher: Bencher<'_, '_>) {
    each(bencher, |q| strength::mass_fraction_from_vol(q, 15.5556).unwrap_or(f64::NAN));
}
