//! Options of `middlecut jars`.

use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::str::FromStr;

use clap::{ArgGroup, Args};

use super::mix::{Amount, Part};
use super::{BookedArgs, number};

/// Most jars a range may span.
const JARS_MAX: u32 = 300;

/// A jar typed `NUMBER=LITRES@READING@CELSIUS`; kilograms as 0.41kg.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TypedJar {
    /// Its number.
    pub(crate) number: u32,
    /// How much is in it.
    pub(crate) amount: Amount,
    /// What the glass reads.
    pub(crate) reading: f64,
    /// Its temperature, °C.
    pub(crate) celsius: f64,
}

impl FromStr for TypedJar {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let form = "a jar is NUMBER=LITRES@READING@CELSIUS, as 4=0.25@94.2@21 or 4=0.2kg@94.2@21";
        let (place, rest) = text.split_once('=').ok_or(form)?;
        let place = place.trim().parse().map_err(|_| format!("number: {form}"))?;
        let mut cells = rest.split('@').map(str::trim);
        let (Some(amount), Some(reading), Some(celsius), None) =
            (cells.next(), cells.next(), cells.next(), cells.next())
        else {
            return Err(form.to_owned());
        };
        let amount = match amount.strip_suffix("kg") {
            Some(kg) => number(kg.trim()).map(Amount::Kilograms).map_err(|e| format!("kg: {e}"))?,
            None => number(amount).map(Amount::Litres).map_err(|e| format!("litres: {e}"))?,
        };
        let reading = number(reading).map_err(|error| format!("reading: {error}"))?;
        let celsius = number(celsius).map_err(|error| format!("celsius: {error}"))?;
        Ok(Self { number: place, amount, reading, celsius })
    }
}

/// One jar, or a range of them, as 5 or 5-11.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Span(pub(crate) RangeInclusive<u32>);

impl FromStr for Span {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let form = || "jars are numbers and ranges, as 3,5-11".to_owned();
        let one = |text: &str| text.trim().parse::<u32>().map_err(|_| form());
        let (from, to) = text.split_once('-').map_or((text, text), |both| both);
        let (from, to) = (one(from)?, one(to)?);
        if from > to || to - from >= JARS_MAX {
            return Err(format!("{from}-{to}: a range rises, and spans {JARS_MAX} jars at most"));
        }
        Ok(Self(from..=to))
    }
}

/// A line of one's own, typed `SUBSTANCE=GRAMS`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct OwnLine {
    /// Of what.
    pub(crate) substance: finishing::congeners::Substance,
    /// The most, g per hL of pure alcohol.
    pub(crate) most: f64,
}

impl FromStr for OwnLine {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        use finishing::congeners::Substance;
        let names = Substance::ALL.map(Substance::name).join(", ");
        let (name, most) =
            text.split_once('=').ok_or("a line is SUBSTANCE=GRAMS, as higher_alcohols=60")?;
        let substance = Substance::from_name(name.trim())
            .ok_or_else(|| format!("\"{name}\" is not known; it must be one of {names}"))?;
        let most = number(most).map_err(|error| format!("grams: {error}"))?;
        if !(most > 0.0 && most <= 100_000.0) {
            return Err(format!("grams: {most} must lie from above 0 to 100000 g per hL"));
        }
        Ok(Self { substance, most })
    }
}

/// Options of `middlecut jars`.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("what").required(true).multiple(true).args(["run", "last", "of", "jar"]))]
#[command(after_help = "\
Examples: the last run's jars; jars 5 to 11 of a folder as hearts, against the limits of a category;
two jars typed; a round of jars to smell without knowing which is which
  middlecut jars --last
  middlecut jars my-run --hearts 5-11 --category fruit --own higher_alcohols=60
  middlecut jars --jar 1=0.25@94.2@21 --jar 2=0.2kg@90@21 --hearts 1
  middlecut jars --last --noses 7 --twice 2
Jars 5 to 11 mixed in the book, the rest kept as feints, the foreshots thrown away
  middlecut jars --last --hearts 5-11 --enter --into tank:T1/H1 --by Ada
")]
pub(crate) struct JarsArgs {
    /// The run folder whose jars they are.
    #[arg(value_name = "RUN_FOLDER", conflicts_with = "last")]
    pub(crate) run: Option<PathBuf>,
    /// The jars of the last run of the record.
    #[arg(long)]
    pub(crate) last: bool,
    /// The jars of this run of the record.
    #[arg(long, value_name = "RUN_ID", conflicts_with_all = ["run", "last"])]
    pub(crate) of: Option<String>,
    /// Folder of the record; your data folder where not given.
    #[arg(long, value_name = "DIR")]
    pub(crate) data: Option<PathBuf>,
    /// A jar as measured, in place of what the run says of it: number, litres or kilograms (0.2kg),
    /// what a glass of 20 °C reads, and at which temperature.
    #[arg(long, value_name = "N=L@P@C")]
    pub(crate) jar: Vec<TypedJar>,
    /// The instrument that the typed jars were gauged with, as it is called in `instruments` or
    /// `upkeep`.
    #[arg(long, value_name = "INSTRUMENT", requires = "jar")]
    pub(crate) with: Option<String>,
    /// The jars that are in; those recorded as hearts where not given.
    #[arg(long, value_name = "N,N-N", value_delimiter = ',')]
    pub(crate) hearts: Vec<Span>,
    /// The category whose limits hold, as fruit or vodka.
    #[arg(long, value_name = "WORD", default_value = "general")]
    pub(crate) category: String,
    /// A line of your own, in grams per hL of pure alcohol.
    #[arg(long, value_name = "SUBSTANCE=G")]
    pub(crate) own: Vec<OwnLine>,
    /// The wash that the feints go into next, litres and % vol, as 20@9.5.
    #[arg(long, value_name = "L@P")]
    pub(crate) wash: Option<Part>,
    /// A round to smell blind: the order that this whole number gives.
    #[arg(long, value_name = "SEED")]
    pub(crate) noses: Option<u64>,
    /// So many jars stand in the round twice, to see whether the nose agrees with itself.
    #[arg(long, value_name = "N", default_value = "0", requires = "noses")]
    pub(crate) twice: usize,
    /// With --enter: where the jars that are in come together.
    #[arg(long, value_name = "PLACE/LOT", requires = "enter")]
    pub(crate) into: Option<String>,
    /// With --enter: where the rest is kept; feints of the run where not given.
    #[arg(long, value_name = "PLACE/LOT", requires = "enter")]
    pub(crate) feints_into: Option<String>,
    /// Into the book, by whom and when.
    #[command(flatten)]
    pub(crate) book: BookedArgs,
}
