//! What is refused, and that each refusal names field, value, bound and a hint.

use alcoholometry::AlcoholometryError;
use alcoholometry::blend::{Part, RaiseInput, blend, stronger_part};
use alcoholometry::gauge::{GaugeInput, Scale, gauge, would_read};
use alcoholometry::liquid::{Basis, LiquidInput, describe};
use alcoholometry::reduce::{ReduceInput, diluted_to, reduce, to_make};
use alcoholometry::wash::{Sugar, SugarKind, WashInput, balling, forecast, sugar_for_strength};

#[track_caller]
fn refused<T: std::fmt::Debug>(result: Result<T, AlcoholometryError>, field: &str, value: &str) {
    let error = result.expect_err("this input has no answer");
    let said = error.to_string();
    assert_eq!(error.field().to_string(), field, "{said}");
    assert!(said.starts_with(field) && said.contains(value) && said.contains(" to "), "{said}");
    assert!(error.hint().len() > 10, "{said}");
}

fn liquid(basis: Basis, celsius: f64) -> Result<alcoholometry::liquid::Liquid, AlcoholometryError> {
    describe(LiquidInput::exact(basis, celsius))
}

#[test]
fn liquids_out_of_range_are_named() {
    refused(liquid(Basis::Vol20Percent(300.0), 20.0), "vol", "300 % vol");
    refused(liquid(Basis::Vol20Percent(f64::NAN), 20.0), "vol", "NaN");
    refused(liquid(Basis::MassPercent(-1.0), 20.0), "mass", "-1 % mass");
    refused(liquid(Basis::MoleFraction(50.0), 20.0), "mole", "0 to 1");
    refused(liquid(Basis::Proof60F(f64::INFINITY), 20.0), "proof", "inf");
    refused(liquid(Basis::DensityKgM3(0.95), 20.0), "density", "0.95 kg/m³");
    refused(liquid(Basis::DensityKgM3(1050.0), 20.0), "density", "998.2");
    refused(liquid(Basis::DensityKgM3(785.0), 20.0), "density", "789.2");
    refused(liquid(Basis::Vol20Percent(40.0), 41.0), "at", "41 °C");
    refused(liquid(Basis::Vol20Percent(10.0), -10.0), "vol", "partly ice");
}

#[test]
fn readings_no_liquid_gives_are_named_with_the_ones_it_can() {
    let read = |reading, celsius, scale| gauge(GaugeInput::new(reading, celsius, scale));
    refused(read(101.0, 20.0, Scale::Vol20), "reading", "101 % vol");
    refused(read(99.9, 0.0, Scale::Vol20), "reading", "99.9 % vol");
    refused(read(0.0, 30.0, Scale::Vol20), "reading", "0 % vol");
    refused(read(40.0, 90.0, Scale::Vol60), "at", "90 °C");
    refused(read(1010.0, 20.0, Scale::Density), "reading", "1010 kg/m³");
    refused(
        gauge(GaugeInput { reading_sd: -0.1, ..GaugeInput::new(40.0, 20.0, Scale::Vol20) }),
        "reading-sd",
        "-0.1",
    );
    refused(
        gauge(GaugeInput { celsius_sd: f64::NAN, ..GaugeInput::new(40.0, 20.0, Scale::Vol20) }),
        "at-sd",
        "NaN",
    );
    refused(would_read(100.0, 35.0, Scale::Vol20), "strength", "100 % vol");
    refused(would_read(0.0, 4.0, Scale::Vol20), "strength", "0 % vol");
    refused(would_read(120.0, 20.0, Scale::Density), "strength", "120 % vol");
}

#[test]
fn reductions_out_of_range_are_named() {
    let case = |litres, from, to, t| reduce(ReduceInput::exact(litres, from, to, t));
    refused(case(-1.0, 70.0, 40.0, 20.0), "litres", "-1 L");
    refused(case(1.0, 170.0, 40.0, 20.0), "from", "170 % vol");
    refused(case(1.0, 40.0, 70.0, 20.0), "to", "0.1 to 40 % vol");
    refused(case(1.0, 40.0, 0.0, 20.0), "to", "0 % vol");
    refused(case(1.0, 70.0, 40.0, -5.0), "at", "-5 °C");
    refused(to_make(0.0, 70.0, 40.0, 20.0), "litres", "0 L");
    refused(diluted_to(1.0, 70.0, f64::NAN, 20.0), "water", "NaN");
}

#[test]
fn blends_name_the_part() {
    refused(blend(&[]), "parts", "0 given");
    refused(blend(&[Part::at_20c(1.0, 40.0), Part::at_20c(-2.0, 40.0)]), "part 2: litres", "-2 L");
    refused(blend(&[Part::at_20c(1.0, 140.0)]), "part 1: strength", "140 % vol");
    refused(blend(&[Part::at_20c(0.0, 40.0)]), "litres", "0 L");
    let raise = |stronger, target| {
        stronger_part(RaiseInput { litres: 1.0, weaker: 20.0, stronger, target })
    };
    refused(raise(10.0, 15.0), "stronger", "10 % vol");
    refused(raise(60.0, 60.0), "target", "60 % vol");
    refused(raise(60.0, 19.0), "target", "19 % vol");
}

#[test]
fn washes_out_of_range_are_named() {
    let case = |litres, kg, efficiency_percent| {
        let sugars = [Sugar { kind: SugarKind::Sucrose, kg }];
        forecast::forecast(&WashInput { litres, sugars: &sugars, efficiency_percent })
    };
    refused(case(-5.0, 1.0, 92.0), "litres", "-5 L");
    refused(case(10.0, -1.0, 92.0), "part 1: sugar", "-1 kg");
    refused(case(10.0, 20.0, 92.0), "sugar", "20 kg dissolved");
    refused(case(10.0, 1.0, 192.0), "efficiency", "192 %");
    let empty = WashInput { litres: 10.0, sugars: &[], efficiency_percent: 92.0 };
    refused(forecast::forecast(&empty), "sugar", "0 given");
    refused(sugar_for_strength(10.0, SugarKind::Dextrose, 80.0, 92.0), "strength", "80 % vol");
    refused(balling::from_gravities(1050.0, 1.0, 0.0), "original gravity", "1050");
    refused(balling::from_gravities(1.05, 1.06, 0.0), "final gravity", "1.06");
    refused(balling::from_gravities(1.05, 1.0, -0.001), "gravity-sd", "-0.001");
}
