//! Profiles: `profiles.toml`.

use super::common::{
    Found, MOST, few_enough, finding, meant, not_negative, plain_name, positive, unique,
};
use super::formula::{self, Allowance, Dimensions};
use super::model::{self, Section};
use super::reading::{At, CoatingMass, Node, Reader, Wire, wire, words};
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::quantity::{Length, Tolerance};
use ::toml::de::DeValue;

words! {
    /// Form of a cold-formed section.
    pub enum SectionWord {
        /// Lipped channel: stud, joist.
        LippedChannel = "lipped-channel",
        /// Plain channel: track, plate.
        PlainChannel = "plain-channel",
        /// Hat: web on top, flanges down, lips outward.
        Hat = "hat",
        /// Z: one flange each way, with or without lips.
        Zed = "zed",
        /// Angle: web and one flange, the right one.
        Angle = "angle",
    }
}

wire! {
    /// Profiles: the sections a shop rolls and the strip each needs.
    pub struct ProfileFile {
        /// One table for each profile.
        profile: Vec<Profile>,
    }
    /// A profile. All dimensions are out to out.
    pub struct Profile {
        /// Name used in member files and set-ups.
        name: At<String>,
        /// Its form.
        section: At<SectionWord>,
        /// Web.
        web: At<Length>,
        /// Both flanges, where they are alike.
        flange: Option<At<Length>>,
        /// Left flange, looking at the outside of the web with the start to the left.
        left_flange: Option<At<Length>>,
        /// Right flange.
        right_flange: Option<At<Length>>,
        /// Both lips, where they are alike.
        lip: Option<At<Length>>,
        /// Lip of the left flange.
        left_lip: Option<At<Length>>,
        /// Lip of the right flange.
        right_lip: Option<At<Length>>,
        /// Base metal thickness, without coating.
        thickness: At<Length>,
        /// Inside bend radius.
        radius: At<Length>,
        /// Coating: a designation such as "Z275", or a table with name, mass and thickness.
        coating: At<CoatingText>,
        /// Grade of steel, as on the certificate.
        grade: String,
        /// Width of the strip as the shop runs it; compared with the computed blank.
        strip_width: At<Length>,
        /// Default tolerance of a member's length.
        length_tolerance: Option<At<Tolerance>>,
    }
    /// A coating the program does not know.
    pub struct CoatingTable {
        /// Designation.
        name: String,
        /// Mass on both sides together.
        mass: At<CoatingMass>,
        /// What both sides together add to the thickness.
        thickness: At<Length>,
    }
}

/// A coating by designation or by its figures.
#[derive(Clone, Debug, schemars::JsonSchema)]
#[schemars(untagged, inline)]
pub enum CoatingText {
    /// A designation: Z and AZ with g/m², G with hundredths of oz/ft².
    Known(String),
    /// Figures of another.
    Stated(CoatingTable),
}

impl Wire for CoatingText {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<CoatingText> {
        match node.get_ref() {
            DeValue::Table(_) => CoatingTable::read(node, key, reader).map(CoatingText::Stated),
            DeValue::String(text) => Some(CoatingText::Known(text.to_string())),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "a designation such as \"Z275\", or { name = …, mass = …, thickness = … }"
    }
}

/// The coating with its figures. A designation the program does not know may be one that
/// `known` declares.
pub(super) fn coating(
    at: &At<CoatingText>,
    known: &[model::Profile],
    found: &mut Found,
) -> model::Coating {
    match &at.value {
        CoatingText::Stated(table) => {
            let thickness =
                not_negative(found, "thickness", &table.thickness, Length::from_mm(1));
            if table.mass.value.0 < 0 {
                let help = "write the mass on both sides, such as \"275 g/m2\"";
                super::common::out_of_range(found, table.mass.span, "`mass` is negative", help);
            }
            model::Coating {
                name: table.name.as_str().into(),
                grams_per_square_metre: table.mass.value.0,
                thickness,
            }
        }
        CoatingText::Known(name) => formula::coating_of(name)
            .or_else(|| {
                known.iter().find(|p| &*p.coating.name == name).map(|p| p.coating.clone())
            })
            .unwrap_or_else(|| {
                found.push(
                    finding(
                        &codes::E0316,
                        at.span,
                        format!("the coating `{name}` is not known"),
                        "its mass and thickness are not known",
                        "write { name = \"…\", mass = \"… g/m2\", thickness = \"… um\" }, or one \
                         of the kind Z275, G90, AZ150",
                    )
                    .note("A docket's kilograms include the coating: without it metres come out too long."),
                );
                model::Coating {
                    name: name.as_str().into(),
                    grams_per_square_metre: 0,
                    thickness: Length::ZERO,
                }
            }),
    }
}

/// The profiles of one file.
pub(super) fn settle(file: ProfileFile, found: &mut Found) -> Vec<model::Profile> {
    few_enough(found, "profiles", file.profile.len(), MOST, file.span);
    unique(found, "profile", file.profile.iter().map(|p| &p.name));
    file.profile.iter().map(|profile| settle_one(profile, found)).collect()
}

/// A leg that may be given for both sides or for each.
fn sides(
    both: (&str, &Option<At<Length>>),
    left: (&str, &Option<At<Length>>),
    right: (&str, &Option<At<Length>>),
    found: &mut Found,
) -> [Length; 2] {
    if let Some(all) = both.1 {
        for (key, one) in [left, right] {
            if let Some(one) = one {
                found.push(
                    Diagnostic::new(
                        &codes::E0312,
                        format!("`{key}` and `{}` are both given", both.0),
                    )
                    .at(one.span, "given twice")
                    .at(all.span, "for both sides here")
                    .help(format!("keep `{}`, or give `{}` and `{}`", both.0, left.0, right.0)),
                );
            }
        }
    }
    let most = Length::from_mm(5_000);
    [left, right].map(|(key, one)| match (one, both.1) {
        (Some(at), _) => not_negative(found, key, at, most),
        (None, Some(at)) => not_negative(found, both.0, at, most),
        (None, None) => Length::ZERO,
    })
}

fn settle_one(profile: &Profile, found: &mut Found) -> model::Profile {
    let before = found.len();
    let most = Length::from_mm(5_000);
    let section = match profile.section.value {
        SectionWord::LippedChannel => Section::LippedChannel,
        SectionWord::PlainChannel => Section::PlainChannel,
        SectionWord::Hat => Section::Hat,
        SectionWord::Zed => Section::Zed,
        SectionWord::Angle => Section::Angle,
    };
    let mut flanges = sides(
        ("flange", &profile.flange),
        ("left-flange", &profile.left_flange),
        ("right-flange", &profile.right_flange),
        found,
    );
    if let (Section::Angle, [left, _]) = (section, &mut flanges)
        && profile.left_flange.is_none()
    {
        *left = Length::ZERO;
    }
    let lips = sides(
        ("lip", &profile.lip),
        ("left-lip", &profile.left_lip),
        ("right-lip", &profile.right_lip),
        found,
    );
    let dimensions = Dimensions {
        section,
        web: positive(found, "web", &profile.web, most),
        flanges,
        lips,
        thickness: positive(found, "thickness", &profile.thickness, Length::from_mm(10)),
        radius: not_negative(found, "radius", &profile.radius, Length::from_mm(100)),
    };
    check_legs(profile, &dimensions, found);
    let strip_width = positive(found, "strip-width", &profile.strip_width, most);
    let length_tolerance =
        profile.length_tolerance.as_ref().map(|at| meant(found, "length-tolerance", at));
    let coating = coating(&profile.coating, &[], found);
    if found.len() == before {
        check_blank(profile, &dimensions, found);
        check_radius(profile, &dimensions, found);
    }
    let [left_flange, right_flange] = flanges;
    let [left_lip, right_lip] = lips;
    model::Profile {
        name: plain_name(found, "the name of a profile", &profile.name),
        section,
        web: dimensions.web,
        left_flange,
        right_flange,
        left_lip,
        right_lip,
        thickness: dimensions.thickness,
        radius: dimensions.radius,
        coated_mass: formula::coated_mass(
            strip_width,
            dimensions.thickness,
            coating.grams_per_square_metre,
        ),
        coating,
        grade: profile.grade.as_str().into(),
        strip_width,
        length_tolerance,
        span: profile.name.span,
    }
}

/// Flanges and lips as the section's form has them, each long enough for its bends.
fn check_legs(profile: &Profile, dimensions: &Dimensions, found: &mut Found) {
    let none = |legs: [Length; 2]| legs.iter().all(|l| *l == Length::ZERO);
    let all = |legs: [Length; 2]| legs.iter().all(|l| *l > Length::ZERO);
    let [left, right] = dimensions.flanges;
    let (flanges, lips) = (dimensions.flanges, dimensions.lips);
    let wrong = match dimensions.section {
        Section::LippedChannel if !all(flanges) || !all(lips) => {
            Some(("a lipped channel has two flanges and two lips", "give `flange` and `lip`"))
        }
        Section::PlainChannel if !all(flanges) || !none(lips) => Some((
            "a plain channel has two flanges and no lips",
            "give `flange` and no `lip`, or write section = \"lipped-channel\"",
        )),
        Section::Hat if !all(flanges) || !all(lips) => {
            Some(("a hat has two flanges and two lips", "give `flange` and `lip`"))
        }
        Section::Zed if !all(flanges) || (!none(lips) && !all(lips)) => {
            Some(("a Z has two flanges, and both lips or none", "give `flange` and perhaps `lip`"))
        }
        Section::Angle if left != Length::ZERO || right <= Length::ZERO || !none(lips) => Some((
            "an angle has a web and one flange, the right one, and no lips",
            "give `right-flange` alone",
        )),
        _ => None,
    };
    if let Some((what, help)) = wrong {
        let label = "its legs do not make this section";
        found.push(finding(&codes::E0312, profile.section.span, what, label, help));
        return;
    }
    let corner = dimensions.thickness + dimensions.radius;
    let mut told: Vec<(Length, i64)> = Vec::new();
    for (leg, bends) in dimensions.legs() {
        if leg < corner.times(bends) && !told.contains(&(leg, bends)) {
            told.push((leg, bends));
            let its = if bends == 1 { "bend" } else { "two bends" };
            found.push(
                finding(
                    &codes::E0313,
                    profile.name.span,
                    format!("a leg of {leg} mm is too short for its {its}"),
                    format!("each bend takes {corner} mm (thickness and inside radius)"),
                    "check the leg, `thickness` and `radius`, and their units",
                )
                .note("Dimensions are out to out."),
            );
        }
    }
}

/// The shop's strip width rules; a blank that differs by more than one per cent is told.
fn check_blank(profile: &Profile, dimensions: &Dimensions, found: &mut Found) {
    let stated = profile.strip_width.value;
    let blank = formula::blank_width(dimensions, Allowance::Centreline);
    let difference = stated - blank;
    if i128::from(difference.nm().abs()) * 100 <= i128::from(blank.nm()) {
        return;
    }
    let din = formula::blank_width(dimensions, Allowance::Din6935);
    found.push(
        finding(
            &codes::W0314,
            profile.strip_width.span,
            format!(
                "the strip of `{}` is {stated} mm, but its section unrolls to {} mm",
                profile.name.value,
                tenths(blank)
            ),
            format!(
                "{} mm {}",
                tenths(difference.abs()),
                if difference.is_negative() { "narrower" } else { "wider" }
            ),
            "check the legs, radius and thickness against the drawing, and the width against the \
             coil; the shop's own width is used as it stands",
        )
        .note(format!(
            "Along the centre line; by DIN 6935 {} mm. Such rules differ by about half a per cent, \
             so more than one points to a slip. Mass and metres go by the strip width.",
            tenths(din)
        )),
    );
}

fn check_radius(profile: &Profile, dimensions: &Dimensions, found: &mut Found) {
    let (r, t) = (dimensions.radius, dimensions.thickness);
    if r > Length::ZERO && r <= t.times(12) {
        return;
    }
    let usual = formula::aisi_inside_radius(t);
    found.push(finding(
        &codes::W0315,
        profile.radius.span,
        format!("an inside radius of {r} mm is unusual for steel of {t} mm"),
        if r == Length::ZERO { "sharp" } else { "more than 12 times the thickness" },
        format!(
            "`radius` is the inside radius; North American tables take {} mm here",
            tenths(usual)
        ),
    ));
}

/// Millimetres to a tenth, for messages.
fn tenths(length: Length) -> Length {
    let step = 100_000;
    Length::from_nm((length.nm() + step / 2).div_euclid(step) * step)
}
