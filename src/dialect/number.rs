//! Numbers: one spelling for each value, and the proof that the grid survives it.

use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{NumberFormat, Padding, Sign, Snapping, Unit};
use crate::quantity::{Grid, Length};
use nom::bytes::complete::take_while1;
use nom::character::complete::{char, digit1};
use nom::combinator::opt;
use nom::sequence::preceded;
use nom::{IResult, Parser};

/// Farthest advance that is written or read: ten times what one coil may hold. Beyond it the
/// strip arithmetic of later rooms would no longer be safe.
pub(super) const FARTHEST: i64 = Length::LIMIT.nm() * 10;

/// Most decimals of a format.
const MOST_DECIMALS: u8 = 9;

/// Most places behind the point of what one in the last place counts: 0.000001.
const MOST_PLACES: u8 = 6;

/// Widest fixed number.
const WIDEST: usize = 40;

/// Why a value has no spelling.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Misfit {
    /// It is below zero and the format has no sign.
    Negative,
    /// It needs more characters than the width.
    Wide,
    /// It lies between two values the format can write.
    Between,
}

/// A number format on one line's grid.
#[derive(Clone, Debug)]
pub(super) struct Number {
    /// Value of one last decimal in nanometres (or in pieces), as a fraction in lowest terms.
    step: (i128, i128),
    /// Points between which a rounded advance is told apart; `None` where spelling is exact.
    rounds_to: Option<i128>,
    decimals: u8,
    /// 10 to the decimals.
    whole: u64,
    point: char,
    short: bool,
    width: Option<usize>,
    padding: Padding,
    sign: Sign,
    /// Whether advances are steps from the event before.
    pub(super) relative: bool,
}

impl Number {
    /// The format, with the proof that every point of the grid has one spelling of its own.
    pub(super) fn prove(format: &NumberFormat, grid: Grid) -> Result<Number, Box<Diagnostic>> {
        check_shape(format)?;
        let (step, decimals) = (step(format), decimals(format));
        let mut rounds_to = None;
        if format.unit.nm().is_some() {
            let increment = i128::from(grid.increment().nm());
            let exact = (increment * step.1) % step.0 == 0;
            if !exact && format.relative {
                return Err(not_exact(format, grid));
            }
            // A rounded advance is off by at most half a step: nearest to its own grid point as
            // long as a step is shorter than an increment.
            if !exact && step.0 >= increment * step.1 {
                return Err(too_coarse(format, grid));
            }
            rounds_to = (!exact).then_some(increment);
        }
        Ok(Number {
            step,
            rounds_to,
            decimals,
            whole: ten_to(decimals),
            point: format.point,
            short: format.short,
            width: format.width,
            padding: format.padding,
            sign: format.sign,
            relative: format.relative,
        })
    }

    /// The format for figures of members, which lie anywhere: each is written as near as its last
    /// decimal. Proved that a controller which moves an advance to the line's points so comes to
    /// stand where it would with the exact figure. `exact` where all figures of the line are
    /// multiples of a length.
    pub(super) fn figures(
        format: &NumberFormat,
        grid: Grid,
        snapping: Snapping,
        exact: impl Fn(i128) -> bool,
    ) -> Result<Number, Box<Diagnostic>> {
        if format.relative {
            return Err(not_from_the_member(format));
        }
        let number = Number::prove(format, grid)?;
        let comes_back = |step| comes_back(step, grid, snapping, &exact);
        if !comes_back(number.step) {
            let finer = (format.decimals..=most_places(format))
                .find(|&decimals| comes_back(step_of(format.unit, decimals)));
            return Err(figures_too_coarse(format, grid, finer));
        }
        Ok(Number { rounds_to: Some(1), ..number })
    }

    /// The format for numbers that another wrote: read, never written.
    pub(super) fn to_be_read(format: &NumberFormat) -> Result<Number, Box<Diagnostic>> {
        if format.relative {
            return Err(not_from_the_member(format));
        }
        check_shape(format)?;
        Ok(Number {
            step: step(format),
            rounds_to: Some(1),
            decimals: decimals(format),
            whole: ten_to(decimals(format)),
            point: format.point,
            short: format.short,
            width: format.width,
            padding: format.padding,
            sign: format.sign,
            relative: false,
        })
    }

    /// The value of a last decimal in nanometres, a nanometre at least.
    pub(super) fn last_decimal_nm(&self) -> i64 {
        i64::try_from((self.step.0 + self.step.1 - 1).div_euclid(self.step.1)).unwrap_or(i64::MAX)
    }

    /// The figure nearest to `value` that this format can write, in whole nanometres.
    pub(super) fn near(&self, value: i64) -> i64 {
        self.figure(nearest(i128::from(value) * self.step.1, self.step.0))
    }

    /// The least figure this format can write that is not below `value`, in whole nanometres: the
    /// nearest where a last decimal is under a nanometre.
    pub(super) fn not_below(&self, value: i64) -> i64 {
        if self.step.0 <= self.step.1 {
            return self.near(value);
        }
        self.figure(-(-i128::from(value) * self.step.1).div_euclid(self.step.0))
    }

    fn figure(&self, steps: i128) -> i64 {
        i64::try_from(nearest(steps * self.step.0, self.step.1)).unwrap_or(i64::MAX)
    }

    /// Whether this character may stand somewhere in it.
    pub(super) fn may_hold(&self, character: char) -> bool {
        character.is_ascii_digit()
            || (self.decimals > 0 && character == self.point)
            || (self.sign != Sign::Never && character == '-')
            || (self.sign == Sign::Always && character == '+')
    }
    /// Whether it always takes the same width.
    pub(super) fn is_fixed(&self) -> bool {
        self.width.is_some()
    }

    /// Appends the spelling of a value in nanometres or pieces.
    pub(super) fn write(&self, value: i64, out: &mut String) -> Result<(), Misfit> {
        let steps = self.steps(value)?;
        if steps < 0 && self.sign == Sign::Never {
            return Err(Misfit::Negative);
        }
        let start = out.len();
        match self.sign {
            _ if steps < 0 => out.push('-'),
            Sign::Always => out.push('+'),
            Sign::Never | Sign::Minus => {}
        }
        let after_sign = out.len();
        let magnitude = steps.unsigned_abs();
        push_digits(magnitude / self.whole, 1, out);
        let decimals = magnitude % self.whole;
        if self.decimals > 0 && !(self.short && decimals == 0) {
            out.push(self.point);
            push_digits(decimals, usize::from(self.decimals), out);
            while self.short && out.ends_with('0') {
                out.pop();
            }
        }
        if let Some(width) = self.width {
            let missing = width.checked_sub(out.len() - start).ok_or(Misfit::Wide)?;
            let (at, fill) = match self.padding {
                Padding::Zero => (after_sign, '0'),
                Padding::Blank => (start, ' '),
            };
            for _ in 0..missing {
                out.insert(at, fill);
            }
        }
        Ok(())
    }

    /// How many bytes of `rest` it takes; `None` where the file ends before a fixed width.
    pub(super) fn extent(&self, rest: &str) -> Option<usize> {
        match self.width {
            // All its characters are ASCII.
            None => Some(rest.bytes().take_while(|&b| self.may_hold(char::from(b))).count()),
            // Characters, not bytes: a wide character must not be split.
            Some(width) => {
                let (last, c) = rest.char_indices().nth(width - 1)?;
                Some(last + c.len_utf8())
            }
        }
    }

    /// The value some text stands for, whether or not this is how it would be spelled: the
    /// reader compares the spellings afterwards. `None` if it is no number or out of range.
    pub(super) fn value(&self, text: &str) -> Option<i64> {
        let (rest, (minus, digits, decimals)) = self.pieces(text).ok()?;
        if !rest.is_empty() {
            return None;
        }
        let given = u8::try_from(decimals.len()).ok().filter(|&n| n <= self.decimals)?;
        let whole: u64 = digits.parse().ok()?;
        let part: u64 = if decimals.is_empty() { 0 } else { decimals.parse().ok()? };
        let magnitude = whole
            .checked_mul(self.whole)?
            .checked_add(part.checked_mul(ten_to(self.decimals - given))?)?;
        let magnitude = i128::from(magnitude);
        let steps = if minus { -magnitude } else { magnitude };
        // At most 2⁶⁴ · 25.4·10⁶: far inside i128.
        let scaled = steps * self.step.0;
        let value = match self.rounds_to {
            None if scaled % self.step.1 == 0 => scaled / self.step.1,
            None => return None,
            Some(increment) => nearest(scaled, self.step.1 * increment) * increment,
        };
        i64::try_from(value).ok()
    }

    /// Sign, whole digits and decimals, with what padding may stand around them.
    fn pieces<'a>(&self, text: &'a str) -> IResult<&'a str, (bool, &'a str, &'a str)> {
        let (text, _) = opt(take_while1(|c| c == ' ')).parse(text)?;
        let (text, minus) = opt(char('-')).parse(text)?;
        let (text, _) = opt(char('+')).parse(text)?;
        let (text, whole) = digit1(text)?;
        let (text, decimals) = opt(preceded(char(self.point), digit1)).parse(text)?;
        Ok((text, (minus.is_some(), whole, decimals.unwrap_or(""))))
    }

    /// The least value this format can write that is not below `value`.
    pub(super) fn up(&self, value: i64) -> i64 {
        let steps = -(-i128::from(value) * self.step.1).div_euclid(self.step.0);
        // A step of a time is a whole number of nanoseconds up to 9 decimals of a second.
        i64::try_from(-(-steps * self.step.0).div_euclid(self.step.1)).unwrap_or(i64::MAX)
    }

    /// The value in last decimals.
    fn steps(&self, value: i64) -> Result<i64, Misfit> {
        if self.step == (1, 1) {
            return Ok(value);
        }
        let scaled = i128::from(value) * self.step.1;
        let steps = match self.rounds_to {
            None if scaled % self.step.0 == 0 => scaled / self.step.0,
            None => return Err(Misfit::Between),
            // By one nanometre: any figure is a point.
            Some(increment) if i128::from(value) % increment != 0 => return Err(Misfit::Between),
            Some(_) => nearest(scaled, self.step.0),
        };
        i64::try_from(steps).map_err(|_| Misfit::Wide)
    }
}

/// The value of one in the last place, in nanometres, nanoseconds or pieces, in lowest terms.
fn step(format: &NumberFormat) -> (i128, i128) {
    match format.last_place {
        None => step_of(format.unit, format.decimals),
        Some(place) => {
            let unit = format.unit.nm().or(format.unit.ns()).unwrap_or(1);
            lowest(i128::from(unit) * place.numerator(), place.denominator())
        }
    }
}

/// Digits behind the point; none where digits stand without one.
fn decimals(format: &NumberFormat) -> u8 {
    if format.last_place.is_some() { 0 } else { format.decimals }
}

/// The value of a last decimal, in nanometres, nanoseconds or pieces, in lowest terms.
fn step_of(unit: Unit, decimals: u8) -> (i128, i128) {
    let unit = unit.nm().or(unit.ns()).unwrap_or(1);
    lowest(i128::from(unit), i128::from(ten_to(decimals)))
}

/// Whether a figure rounded to such a step still brings the strip to the point of the line where
/// the exact figure would.
fn comes_back(
    step: (i128, i128),
    grid: Grid,
    snapping: Snapping,
    exact: impl Fn(i128) -> bool,
) -> bool {
    let increment = i128::from(grid.increment().nm());
    let whole = step.1 == 1;
    // Twice what rounding may move a figure; nothing where a last decimal is under a nanometre.
    let moves = match () {
        () if step.0 <= step.1 || (whole && exact(step.0)) => 0,
        () if whole => step.0,
        () => (step.0 + step.1 - 1).div_euclid(step.1) + 1,
    };
    match snapping {
        Snapping::Nearest => moves < increment,
        Snapping::Down => moves <= increment,
    }
}

/// Whether every number, or any number, has a spelling.
fn check_shape(format: &NumberFormat) -> Result<(), Box<Diagnostic>> {
    let refuse = |why: String, help: &str| {
        Err(Box::new(
            Diagnostic::new(&codes::E0718, format!("number format `{}` {why}", format.name))
                .at(format.span, "this format")
                .help(help),
        ))
    };
    if format.decimals > MOST_DECIMALS {
        return refuse(
            format!("has {} decimals", format.decimals),
            "write at most 9; 6 decimals of a millimetre are a nanometre",
        );
    }
    if format.unit == Unit::Count && format.decimals > 0 {
        return refuse("counts things and has decimals".into(), "leave `decimals` out");
    }
    let (whole, parts) = step(format);
    if format.unit.ns().is_some() && whole != 1 && parts != 1 {
        return refuse(
            "counts in parts of which no nanosecond is made".into(),
            "write a `last-place` such as 10, 0.1 or 0.001",
        );
    }
    if format.point != '.' && format.point != ',' {
        return refuse(
            format!("has `{}` for a decimal point", format.point.escape_debug()),
            "write `point = \".\"` or `point = \",\"`",
        );
    }
    if let Some(width) = format.width {
        let decimals = match decimals(format) {
            0 => 0,
            n => usize::from(n) + 1,
        };
        let sign = usize::from(format.sign != Sign::Never);
        if width < decimals + sign + 1 || width > WIDEST {
            return refuse(
                format!("is {width} wide: it needs {} to {WIDEST}", decimals + sign + 1),
                "count the sign, the digits before the point, the point and the decimals",
            );
        }
    }
    Ok(())
}

fn too_coarse(format: &NumberFormat, grid: Grid) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(
            &codes::E0716,
            format!(
                "number format `{}` writes {} {} at the finest, but the line stops every {} mm",
                format.name,
                last_decimal(format),
                format.unit.word(),
                grid.increment()
            ),
        )
        .at(format.span, "too few decimals")
        .note("two different stops would be written alike, and read as one")
        .help(write_finer(format, enough_decimals(format, grid))),
    )
}

fn figures_too_coarse(format: &NumberFormat, grid: Grid, finer: Option<u8>) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(
            &codes::E0716,
            format!(
                "number format `{}` rounds places on members to {} {}, and the line stops every {} mm",
                format.name,
                last_decimal(format),
                format.unit.word(),
                grid.increment()
            ),
        )
        .at(format.span, "too few decimals")
        .note(
            "stations and cuts do not stand at round figures: a rounded place may be due at the \
             stop beside its own",
        )
        .help(write_finer(format, finer)),
    )
}

/// What to write where a format is too coarse, if so many decimals would do.
fn write_finer(format: &NumberFormat, decimals: Option<u8>) -> String {
    match decimals {
        Some(decimals) if format.last_place.is_some() => {
            format!("write `last-place = {}` or less", one_behind(decimals))
        }
        Some(decimals) => format!("write `decimals = {decimals}` or more"),
        None => "use a smaller unit, such as `unit = \"um\"`".to_string(),
    }
}

fn not_from_the_member(format: &NumberFormat) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(
            &codes::E0717,
            format!("number format `{}` gives steps from event to event", format.name),
        )
        .at(format.span, "steps from what?")
        .note("members and lines of a log have no event before them to count from")
        .help("leave `advance` out"),
    )
}

fn not_exact(format: &NumberFormat, grid: Grid) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(
            &codes::E0717,
            format!(
                "number format `{}` gives steps in {} {}, but the line moves by {} mm",
                format.name,
                last_decimal(format),
                format.unit.word(),
                grid.increment()
            ),
        )
        .at(format.span, "steps are rounded")
        .note("the controller adds rounded steps, and the error grows with every stop")
        .help(match enough_decimals(format, grid) {
            Some(decimals) => {
                let finer = match format.last_place {
                    None => format!("decimals = {decimals}"),
                    Some(_) => format!("last-place = {}", one_behind(decimals)),
                };
                format!("write `{finer}`, in which each step is exact, or `advance = \"absolute\"`")
            }
            None => "write `advance = \"absolute\"`, or use a unit in which each step is exact"
                .to_string(),
        }),
    )
}

/// The fewest decimals with which the format is exact on the grid; for absolute advances, fine
/// enough for it.
fn enough_decimals(format: &NumberFormat, grid: Grid) -> Option<u8> {
    let increment = i128::from(grid.increment().nm());
    let unit = i128::from(format.unit.nm()?);
    (0..=most_places(format)).find(|&decimals| {
        let whole = i128::from(ten_to(decimals));
        (increment * whole) % unit == 0 || (!format.relative && unit < increment * whole)
    })
}

/// What one in the last place is, in units: `0.001`, `1/64`.
fn last_decimal(format: &NumberFormat) -> String {
    let Some(place) = format.last_place else { return one_behind(format.decimals) };
    let (over, under) = (place.numerator(), place.denominator());
    let exact = (0..=MOST_PLACES).find(|&n| (over * i128::from(ten_to(n))) % under == 0);
    match exact {
        None => format!("{over}/{under}"),
        Some(0) => (over / under).to_string(),
        Some(n) => {
            let digits = over * i128::from(ten_to(n)) / under;
            let whole = i128::from(ten_to(n));
            format!("{}.{:0>width$}", digits / whole, digits % whole, width = usize::from(n))
        }
    }
}

/// A one so many places behind the point, as text.
fn one_behind(places: u8) -> String {
    match places {
        0 => "1".to_string(),
        n => format!("0.{:0>width$}", 1, width = usize::from(n)),
    }
}

/// Most places behind the point that a help line proposes.
fn most_places(format: &NumberFormat) -> u8 {
    if format.last_place.is_some() { MOST_PLACES } else { MOST_DECIMALS }
}

/// Appends the digits of `n`, zeros before them up to `least` digits.
fn push_digits(mut n: u64, least: usize, out: &mut String) {
    let mut digits = [b'0'; 20];
    let mut used = 0;
    for slot in digits.iter_mut().rev() {
        if n == 0 && used >= least {
            break;
        }
        // A remainder by ten fits a byte.
        *slot = b'0' + u8::try_from(n % 10).unwrap_or(0);
        n /= 10;
        used += 1;
    }
    let text = digits.get(digits.len() - used..).unwrap_or_default();
    out.push_str(std::str::from_utf8(text).unwrap_or_default());
}

fn ten_to(decimals: u8) -> u64 {
    10_u64.pow(u32::from(decimals.min(MOST_DECIMALS)))
}

/// The whole number nearest to `a/b`, for `b` > 0; the upper one of two equally near.
fn nearest(a: i128, b: i128) -> i128 {
    (2 * a + b).div_euclid(2 * b)
}

/// `a/b` in lowest terms, for positive numbers.
fn lowest(a: i128, b: i128) -> (i128, i128) {
    let (mut x, mut y) = (a, b);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    (a / x.max(1), b / x.max(1))
}
