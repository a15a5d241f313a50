//! Numbers and directions of a model in whole numbers: lengths in nanometres, unit vectors in
//! parts of [`ONE`], so that no rounding of a processor decides where a hole is.

/// A unit vector's length.
pub const ONE: i128 = 1_000_000_000_000;

/// Furthest coordinate that is read, in nanometres: ten thousand kilometres, for models that lie
/// where they are on the map.
pub const FURTHEST: i128 = 10_000_000_000_000_000;

/// A decimal such as `-2.5E-3`, times `numerator / denominator`, to the nearest whole number.
pub fn scaled(text: &str, numerator: i128, denominator: i128) -> Option<i128> {
    let (mantissa, exponent) = match text.split_once(['E', 'e']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse::<i32>().ok()?),
        None => (text, 0),
    };
    let (negative, digits) = match mantissa.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, mantissa.strip_prefix('+').unwrap_or(mantissa)),
    };
    let (mut value, mut shift, mut kept, mut after) = (0_i128, exponent, 0, false);
    for byte in digits.bytes() {
        match byte {
            b'.' if !after => after = true,
            b'0'..=b'9' => {
                if kept < 18 {
                    value = value * 10 + i128::from(byte - b'0');
                    kept += usize::from(value > 0);
                    shift -= i32::from(after);
                } else {
                    // Digits beyond the eighteenth say less than a nanometre.
                    shift += i32::from(!after);
                }
            }
            _ => return None,
        }
    }
    let value = if negative { -value } else { value };
    if value == 0 {
        return Some(0);
    }
    let power = |n: i32| 10_i128.checked_pow(u32::try_from(n).ok()?);
    let (over, under) = if shift >= 0 {
        (value.checked_mul(power(shift)?)?.checked_mul(numerator)?, denominator)
    } else if shift < -36 {
        return Some(0);
    } else {
        (value.checked_mul(numerator)?, denominator.checked_mul(power(-shift)?)?)
    };
    Some(rounded(over, under))
}

/// `over / under` to the nearest, halves away from nought; `under` above nought.
pub fn rounded(over: i128, under: i128) -> i128 {
    let half = under / 2;
    if over >= 0 { (over + half) / under } else { (over - half) / under }
}

/// Three coordinates.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Vector(pub i128, pub i128, pub i128);

impl Vector {
    /// Scalar product, in parts of [`ONE`] of the one times the other.
    pub fn dot(self, other: Vector) -> i128 {
        self.0 * other.0 + self.1 * other.1 + self.2 * other.2
    }
    fn cross(self, other: Vector) -> Vector {
        Vector(
            self.1 * other.2 - self.2 * other.1,
            self.2 * other.0 - self.0 * other.2,
            self.0 * other.1 - self.1 * other.0,
        )
    }
    fn less(self, by: i128) -> Vector {
        Vector(rounded(self.0, by), rounded(self.1, by), rounded(self.2, by))
    }
    fn plus(self, other: Vector) -> Vector {
        Vector(self.0 + other.0, self.1 + other.1, self.2 + other.2)
    }
    fn times(self, n: i128) -> Vector {
        Vector(self.0 * n, self.1 * n, self.2 * n)
    }
    /// Its direction as a unit vector; `None` where it has none.
    pub fn unit(self) -> Option<Vector> {
        let most = |v: Vector| v.0.abs().max(v.1.abs()).max(v.2.abs());
        let mut v = self;
        if most(v) == 0 {
            return None;
        }
        while most(v) < 1_000 * ONE {
            v = v.times(10);
        }
        while most(v) > 1_000_000 * ONE {
            v = v.less(10);
        }
        let length = i128::try_from(u128::try_from(v.dot(v)).ok()?.isqrt()).ok()?;
        let part = |x: i128| rounded(x * ONE, length);
        Some(Vector(part(v.0), part(v.1), part(v.2)))
    }
    /// Whether it is near enough to be drawn on.
    pub fn is_near(self) -> bool {
        [self.0, self.1, self.2].iter().all(|c| c.abs() <= FURTHEST)
    }
}

/// A place with its directions, seen from another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Axes {
    /// Its x, y and z as unit vectors.
    pub x: Vector,
    /// See `x`.
    pub y: Vector,
    /// See `x`.
    pub z: Vector,
    /// Where it is, in nanometres.
    pub origin: Vector,
}

impl Axes {
    /// The place itself.
    pub const HERE: Axes = Axes {
        x: Vector(ONE, 0, 0),
        y: Vector(0, ONE, 0),
        z: Vector(0, 0, ONE),
        origin: Vector(0, 0, 0),
    };
    /// With z as given and x as near as may be to what is given.
    pub fn of(origin: Vector, z: Vector, x: Vector) -> Option<Axes> {
        let (z, x) = (z.unit()?, x.unit()?);
        let along = rounded(x.dot(z), ONE);
        let x = x.plus(z.times(-along).less(ONE)).unit()?;
        let y = z.cross(x).less(ONE).unit()?;
        Some(Axes { x, y, z, origin })
    }
    /// A direction seen from where this place is seen from.
    pub fn direction(&self, d: Vector) -> Vector {
        self.x.times(d.0).plus(self.y.times(d.1)).plus(self.z.times(d.2)).less(ONE)
    }
    /// A point likewise.
    pub fn point(&self, p: Vector) -> Vector {
        self.direction(p).plus(self.origin)
    }
    /// A place seen from this one, seen from where this one is.
    pub fn then(&self, inner: &Axes) -> Axes {
        Axes {
            x: self.direction(inner.x),
            y: self.direction(inner.y),
            z: self.direction(inner.z),
            origin: self.point(inner.origin),
        }
    }
    /// Another place, seen from this one.
    pub fn seeing(&self, other: &Axes) -> Axes {
        let turn = |d: Vector| {
            Vector(
                rounded(d.dot(self.x), ONE),
                rounded(d.dot(self.y), ONE),
                rounded(d.dot(self.z), ONE),
            )
        };
        Axes {
            x: turn(other.x),
            y: turn(other.y),
            z: turn(other.z),
            origin: turn(other.origin.plus(self.origin.times(-1))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_to_the_nanometre() {
        let mm = |text| scaled(text, 1_000_000, 1);
        assert_eq!(mm("2396."), Some(2_396_000_000));
        assert_eq!(mm("2.396E3"), Some(2_396_000_000));
        assert_eq!(mm("-0.25"), Some(-250_000));
        assert_eq!(mm("2395.9999999999998"), Some(2_396_000_000));
        assert_eq!(mm("1e-30"), Some(0));
        assert_eq!(mm("1e-40"), Some(0));
        assert_eq!(mm("1E400"), None);
        assert_eq!(mm("1.2.3"), None);
        assert_eq!(scaled("94.375", 25_400_000, 1), Some(2_397_125_000));
    }

    #[test]
    fn a_turned_place_comes_back() {
        let turned =
            Axes::of(Vector(5_000_000, 7_000_000, -3_000_000), Vector(1, 2, 3), Vector(3, -1, 0))
                .unwrap();
        let inner =
            Axes::of(Vector(450_000_000, 0, 20_000_000), Vector(0, 1, 0), Vector(1, 0, 0)).unwrap();
        let back = turned.seeing(&turned.then(&inner));
        let near = |a: Vector, b: Vector| {
            (a.0 - b.0).abs() <= 3 && (a.1 - b.1).abs() <= 3 && (a.2 - b.2).abs() <= 3
        };
        assert!(near(back.origin, inner.origin), "{back:?}");
        assert!(near(back.x, inner.x) && near(back.z, inner.z), "{back:?}");
        assert_eq!(Vector(0, 0, 0).unit(), None);
    }
}
