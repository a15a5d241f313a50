//! A job as an IFC4 model: frames as assemblies, members as extrusions of their section, what is
//! cut out of them as openings. What the model has no words for (pressed features, datums,
//! tolerances) stands in a set of properties of each member, in this program's own JSON.
//!
//! Members lie beside each other as on a rack: members text has no places of members in frames.

use super::fixed::rounded;
use super::form::{Form, told_openings};
use super::opening::Hole;
use super::own::{JOB_SET, MEMBER_SET, properties};
use super::section::{Drawn, Face};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::choice::{Choice, Sort};
use crate::exchange::drawn::{DrawnJob, DrawnMember};
use crate::exchange::json::{member_line, waivers_line};
use crate::exchange::step::text::encoded;
use crate::exchange::words::usage_words;
use crate::language::frame_kind_word;
use crate::library::model::{Library, Profile, Section};
use crate::member::model::{
    EndShape, Faces, Feature, Job, Member, Outline, ProfileId, Shape, Usage,
};
use crate::quantity::Length;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Distance between members on the rack.
const PITCH: Length = Length::from_mm(300);

/// How far an opening goes beyond the steel on each side.
const BEYOND: i128 = 1_000_000;

/// Writes a job. `drawn` is the same job in names.
pub fn write(
    job: &Job,
    drawn: &DrawnJob,
    library: &Library,
    choice: &Choice,
) -> Result<String, Vec<Diagnostic>> {
    let found = choice.check(job, library);
    if !found.is_empty() {
        return Err(found);
    }
    let mut writer = Writer {
        library,
        choice,
        out: String::new(),
        last: 0,
        job: &job.name,
        sections: BTreeMap::new(),
        found: Vec::new(),
        up: 0,
        forward: 0,
        along: 0,
        body: 0,
        row: 0,
    };
    writer.head();
    let project = writer.project(job, drawn);
    let building = writer.building(project);
    let mut assemblies = Vec::new();
    for (frame, names) in job.frames.iter().zip(&drawn.frames) {
        for copy in 1..=frame.quantity {
            let mut parts = Vec::new();
            let place = writer.placed(None, 0);
            for (member, words) in frame.members.iter().zip(&names.members) {
                for piece in 1..=member.quantity {
                    let name = format!("{}/{copy}/{}/{piece}", frame.name, member.mark);
                    parts.extend(writer.member(&name, place, member, words));
                }
            }
            // A frame without members is told before (W0268); an assembly of nothing says nothing.
            if parts.is_empty() {
                continue;
            }
            let id = writer.id(&format!("{}/{copy}", frame.name));
            let kind = match frame.kind {
                crate::member::model::FrameKind::Truss => "TRUSS",
                crate::member::model::FrameKind::Floor => "SLAB_FIELD",
                _ => "USERDEFINED",
            };
            let assembly = writer.put(&format!(
                "IFCELEMENTASSEMBLY({id},$,{},{},{},#{place},$,$,.FACTORY.,.{kind}.)",
                encoded(&frame.name),
                optional(&frame.title),
                encoded(frame_kind_word(frame.kind)),
            ));
            writer.relate(
                "IFCRELAGGREGATES",
                &format!("{}/{copy}/parts", frame.name),
                assembly,
                &parts,
            );
            assemblies.push(assembly);
        }
    }
    if !assemblies.is_empty() {
        let id = writer.id("contained");
        let list = list(&assemblies);
        writer.put(&format!("IFCRELCONTAINEDINSPATIALSTRUCTURE({id},$,$,$,{list},#{building})"));
    }
    writer.out.push_str("ENDSEC;\nEND-ISO-10303-21;\n");
    if writer.found.is_empty() { Ok(writer.out) } else { Err(writer.found) }
}

struct Writer<'a> {
    library: &'a Library,
    choice: &'a Choice,
    out: String,
    last: u64,
    job: &'a str,
    /// Definitions of sections that are written, with what they draw.
    sections: BTreeMap<ProfileId, (u64, Drawn)>,
    found: Vec<Diagnostic>,
    /// Directions used everywhere: +z, +x of the model, and the context of bodies.
    up: u64,
    along: u64,
    forward: u64,
    body: u64,
    /// Members that lie on the rack so far.
    row: i64,
}

/// Nanometres as a real number of millimetres, exactly.
fn real(nm: i128) -> String {
    let sign = if nm < 0 { "-" } else { "" };
    let magnitude = nm.unsigned_abs();
    let rest = format!("{:06}", magnitude % 1_000_000);
    format!("{sign}{}.{}", magnitude / 1_000_000, rest.trim_end_matches('0'))
}

fn optional(text: &str) -> String {
    if text.is_empty() { "$".to_string() } else { encoded(text) }
}

fn list(ids: &[u64]) -> String {
    let ids: Vec<String> = ids.iter().map(|id| format!("#{id}")).collect();
    format!("({})", ids.join(","))
}

impl<'a> Writer<'a> {
    fn put(&mut self, instance: &str) -> u64 {
        self.last += 1;
        let _infallible = writeln!(self.out, "#{}={instance};", self.last);
        self.last
    }

    /// An identifier of 22 signs, the same for the same thing of the same job.
    fn id(&self, of: &str) -> String {
        const SIGNS: &[u8; 64] =
            b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz_$";
        let hash = Sha256::digest(format!("coilwright {}\0{of}", self.job).as_bytes());
        let mut number = hash.iter().take(16).fold(0_u128, |n, &byte| n << 8 | u128::from(byte));
        let mut signs = [b'0'; 22];
        for sign in signs.iter_mut().rev() {
            let digit = usize::try_from(number % 64).unwrap_or(0);
            *sign = SIGNS.get(digit).copied().unwrap_or(b'0');
            number /= 64;
        }
        format!("'{}'", String::from_utf8_lossy(&signs))
    }

    fn head(&mut self) {
        // No time and no name of a person: the same job gives the same bytes.
        self.out.push_str(
            "ISO-10303-21;\nHEADER;\n\
             FILE_DESCRIPTION(('ViewDefinition [NotAssigned]'),'2;1');\n\
             FILE_NAME('','1970-01-01T00:00:00',(''),(''),'Coilwright','Coilwright','');\n\
             FILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n",
        );
    }

    fn project(&mut self, job: &Job, drawn: &DrawnJob) -> u64 {
        let units = self.put("IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.)");
        let angle = self.put("IFCSIUNIT(*,.PLANEANGLEUNIT.,$,.RADIAN.)");
        let units = self.put(&format!("IFCUNITASSIGNMENT((#{units},#{angle}))"));
        let origin = self.put("IFCCARTESIANPOINT((0.,0.,0.))");
        self.up = self.put("IFCDIRECTION((0.,0.,1.))");
        self.along = self.put("IFCDIRECTION((1.,0.,0.))");
        self.forward = self.put("IFCDIRECTION((0.,1.,0.))");
        let axes = self.put(&format!("IFCAXIS2PLACEMENT3D(#{origin},$,$)"));
        let context =
            self.put(&format!("IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#{axes},$)"));
        self.body = self.put(&format!("IFCGEOMETRICREPRESENTATIONSUBCONTEXT('Body','Model',*,*,*,*,#{context},$,.MODEL_VIEW.,$)"));
        let id = self.id("project");
        let project = self.put(&format!(
            "IFCPROJECT({id},$,{},'Members laid out side by side, not as they stand',$,{},{},(#{context}),#{units})",
            encoded(&job.name),
            optional(&job.title),
            optional(&job.revision),
        ));
        self.set(JOB_SET, "project", project, &[("Waivers", waivers_line(&drawn.waivers))]);
        project
    }

    fn building(&mut self, project: u64) -> u64 {
        let place = self.placed(None, 0);
        let id = self.id("building");
        let building =
            self.put(&format!("IFCBUILDING({id},$,'Members',$,$,#{place},$,$,.ELEMENT.,$,$,$)"));
        self.relate("IFCRELAGGREGATES", "project", project, &[building]);
        building
    }

    fn relate(&mut self, kind: &str, name: &str, one: u64, many: &[u64]) {
        if many.is_empty() {
            return;
        }
        let id = self.id(&format!("{kind}/{name}"));
        let list = list(many);
        self.put(&format!("{kind}({id},$,$,$,#{one},{list})"));
    }

    fn point(&mut self, x: i128, y: i128, z: i128) -> u64 {
        self.put(&format!("IFCCARTESIANPOINT(({},{},{}))", real(x), real(y), real(z)))
    }

    /// A placement without a turn, so far along y.
    fn placed(&mut self, outer: Option<u64>, y: i128) -> u64 {
        let point = self.point(0, y, 0);
        let axes = self.put(&format!("IFCAXIS2PLACEMENT3D(#{point},$,$)"));
        let outer = outer.map_or("$".to_string(), |id| format!("#{id}"));
        self.put(&format!("IFCLOCALPLACEMENT({outer},#{axes})"))
    }

    fn member(
        &mut self,
        name: &str,
        frame: u64,
        member: &Member,
        words: &DrawnMember,
    ) -> Option<u64> {
        let shape = &member.shape;
        let (section, drawn) = self.section(shape.profile, member)?;
        let y = i128::from(PITCH.times(self.row).nm());
        self.row += 1;
        // The member's length lies along the model's x: its own z, with its web below.
        let point = self.point(0, y, 0);
        let axes = self.put(&format!("IFCAXIS2PLACEMENT3D(#{point},#{},#{})", self.along, self.up));
        let place = self.put(&format!("IFCLOCALPLACEMENT(#{frame},#{axes})"));
        let solid = self.put(&format!(
            "IFCEXTRUDEDAREASOLID(#{section},$,#{},{})",
            self.up,
            real(i128::from(shape.length.nm()))
        ));
        let body = match self.cut(solid, shape, &drawn) {
            whole if whole == solid => self.shape(solid, "SweptSolid"),
            cut => self.shape(cut, "Clipping"),
        };
        let id = self.id(name);
        let mark = encoded(&member.mark);
        let element = self.put(&format!(
            "IFCMEMBER({id},$,{mark},$,{},#{place},#{body},{mark},.{}.)",
            encoded(&usage_words(member.usage)),
            predefined(member.usage),
        ));
        let mut kept = words.clone();
        kept.features.retain(|f| self.choice.sort(&f.kind) != Some(Sort::LeftOut));
        let mut holes = Vec::new();
        for feature in &shape.features {
            self.openings(name, element, place, member, feature, &drawn, &mut holes);
        }
        self.properties(name, element, &kept, &holes);
        Some(element)
    }

    /// A member's body with the planes of its sloped ends cut off.
    fn cut(&mut self, solid: u64, shape: &Shape, drawn: &Drawn) -> u64 {
        let mut body = solid;
        let Some(web) = drawn.faces.iter().find(|face| face.face == Faces::WEB).copied() else {
            return solid;
        };
        let length = i128::from(shape.length.nm());
        for (end, at_start) in [(shape.start, true), (shape.end, false)] {
            let EndShape::Slope { rise, run } = end else { continue };
            let (rise, run) = (i128::from(rise), i128::from(run));
            // The plane crosses the middle of the web half the web's share short of the long point.
            let short = rounded(rise.abs() * web.width, 2 * run);
            let along = if at_start { short } else { length - short };
            let point = self.point(web.centre.0, web.centre.1, along);
            let onward = if at_start { -run } else { run };
            let away = self.put(&format!(
                "IFCDIRECTION(({}.,{}.,{onward}.))",
                -rise * web.across.0,
                -rise * web.across.1
            ));
            // Its x lies in the plane, square to the web.
            let aside = if web.across.0 == 0 { self.along } else { self.forward };
            let axes = self.put(&format!("IFCAXIS2PLACEMENT3D(#{point},#{away},#{aside})"));
            let plane = self.put(&format!("IFCPLANE(#{axes})"));
            let half = self.put(&format!("IFCHALFSPACESOLID(#{plane},.F.)"));
            body = self.put(&format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{body},#{half})"));
        }
        body
    }

    fn shape(&mut self, solid: u64, kind: &str) -> u64 {
        let body =
            self.put(&format!("IFCSHAPEREPRESENTATION(#{},'Body','{kind}',(#{solid}))", self.body));
        self.put(&format!("IFCPRODUCTDEFINITIONSHAPE($,$,(#{body}))"))
    }

    fn properties(
        &mut self,
        name: &str,
        element: u64,
        member: &DrawnMember,
        holes: &[(&str, Hole)],
    ) {
        let texts =
            [("Member", member_line(member)), ("Openings", told_openings(holes.iter().copied()))];
        self.set(MEMBER_SET, name, element, &texts);
    }

    /// A set of our own properties, and whose it is.
    fn set(&mut self, set: &str, name: &str, of: u64, texts: &[(&str, String)]) {
        let parts: Vec<u64> = properties(texts)
            .iter()
            .map(|(key, text)| {
                let text = encoded(text);
                self.put(&format!("IFCPROPERTYSINGLEVALUE('{key}',$,IFCTEXT({text}),$)"))
            })
            .collect();
        let (id, parts) = (self.id(&format!("{name}/own")), list(&parts));
        let set = self.put(&format!("IFCPROPERTYSET({id},$,'{set}',$,{parts})"));
        let id = self.id(&format!("{name}/own by"));
        self.put(&format!("IFCRELDEFINESBYPROPERTIES({id},$,$,$,(#{of}),#{set})"));
    }

    #[allow(clippy::too_many_arguments)] // all of one feature on one member
    fn openings(
        &mut self,
        name: &str,
        element: u64,
        place: u64,
        member: &Member,
        feature: &Feature,
        drawn: &Drawn,
        holes: &mut Vec<(&'a str, Hole)>,
    ) {
        let library = self.library;
        let Some(kind) = library.feature(feature.kind) else { return };
        if self.choice.sort(&kind.name) != Some(Sort::Cut) {
            return;
        }
        let along = middle(feature, &member.shape);
        for face in feature.faces.each() {
            let Some(plane) = drawn.faces.iter().find(|plane| plane.face == face) else {
                self.found.push(
                    Diagnostic::new(
                        &codes::E1172,
                        format!(
                            "a {} of member {} is on the {face}, which its section has not",
                            kind.name, member.mark
                        ),
                    )
                    .at(feature.span, "here")
                    .help("`coilwright check` says more"),
                );
                return;
            };
            let (length, width) = (feature.outline.length(), feature.outline.width());
            let form = match feature.outline {
                Outline::Circle { .. } => Form::Round,
                Outline::Slot { .. } => Form::Slot,
                Outline::Rectangle { .. } => Form::Rectangle,
            };
            let opening = self.opening(place, plane, along, feature, drawn);
            let id = self.id(&format!("{name}/{}/{along}/{face}/{}", kind.name, feature.across));
            let kind_word = if matches!(feature.outline, Outline::Rectangle { .. }) {
                "RECESS"
            } else {
                "OPENING"
            };
            let opening = self.put(&format!(
                "IFCOPENINGELEMENT({id},$,{0},$,{0},#{1},#{2},$,.{kind_word}.)",
                encoded(&kind.name),
                opening.0,
                opening.1,
            ));
            let id =
                self.id(&format!("{name}/{}/{along}/{face}/{}/voids", kind.name, feature.across));
            self.put(&format!("IFCRELVOIDSELEMENT({id},$,$,$,#{element},#{opening})"));
            let across = feature.across;
            holes.push((&kind.name, Hole { along, faces: face, across, form, length, width }));
        }
    }

    /// The placement and body of an opening through one face.
    fn opening(
        &mut self,
        place: u64,
        plane: &Face,
        along: Length,
        feature: &Feature,
        drawn: &Drawn,
    ) -> (u64, u64) {
        let nm = |length: Length| i128::from(length.nm());
        // The normal of the face: the opening goes along it, from outside the steel's half.
        let normal = (plane.across.1.abs(), plane.across.0.abs());
        let back = drawn.thickness / 2 + BEYOND;
        let at =
            |n: i128, across: i128, centre: i128| centre + across * nm(feature.across) - n * back;
        let point = self.point(
            at(normal.0, plane.across.0, plane.centre.0),
            at(normal.1, plane.across.1, plane.centre.1),
            nm(along),
        );
        let way = if normal.0 == 1 { self.along } else { self.forward };
        // Its own x lies along the member.
        let axes = self.put(&format!("IFCAXIS2PLACEMENT3D(#{point},#{way},#{})", self.up));
        let placement = self.put(&format!("IFCLOCALPLACEMENT(#{place},#{axes})"));
        let section = match feature.outline {
            Outline::Circle { diameter } => {
                format!("IFCCIRCLEPROFILEDEF(.AREA.,$,$,{})", half(diameter))
            }
            Outline::Rectangle { length, width } => {
                format!(
                    "IFCRECTANGLEPROFILEDEF(.AREA.,$,$,{},{})",
                    real(nm(length)),
                    real(nm(width))
                )
            }
            Outline::Slot { length, width } => format!(
                "IFCROUNDEDRECTANGLEPROFILEDEF(.AREA.,$,$,{},{},{})",
                real(nm(length)),
                real(nm(width)),
                // A micrometre short of a half circle: some programs refuse an edge of no length.
                half(width.min(length) - Length::from_um(2)),
            ),
        };
        let section = self.put(&section);
        let depth = real(2 * back);
        let solid = self.put(&format!("IFCEXTRUDEDAREASOLID(#{section},$,#{},{depth})", self.up));
        (placement, self.shape(solid, "SweptSolid"))
    }

    /// The definition of a section, written once.
    fn section(&mut self, id: ProfileId, member: &Member) -> Option<(u64, Drawn)> {
        if let Some(known) = self.sections.get(&id) {
            return Some(known.clone());
        }
        let profile = self.library.profile(id)?;
        let made = self.draw(profile);
        if made.is_none() {
            self.found.push(
                Diagnostic::new(
                    &codes::E1172,
                    format!("the section {} has a form that is not written yet", profile.name),
                )
                .at(member.span, "this member has it")
                .help("channels and hats are written; export JSON for the others"),
            );
        }
        let made = made?;
        self.sections.insert(id, made.clone());
        Some(made)
    }

    fn draw(&mut self, p: &Profile) -> Option<(u64, Drawn)> {
        let nm = |length: Length| i128::from(length.nm());
        let (web, flange, lip, t) = (nm(p.web), nm(p.left_flange), nm(p.left_lip), nm(p.thickness));
        let name = encoded(&p.name);
        let even = p.left_flange == p.right_flange && p.left_lip == p.right_lip;
        match p.section {
            Section::LippedChannel if even => {
                let id = self.put(&format!(
                    "IFCCSHAPEPROFILEDEF(.AREA.,{name},$,{},{},{},{},{})",
                    real(web),
                    real(flange),
                    real(t),
                    real(lip),
                    real(nm(p.radius)),
                ));
                Some((id, Drawn::channel(web, flange, lip, t)))
            }
            Section::PlainChannel if even => {
                let id = self.put(&format!(
                    "IFCUSHAPEPROFILEDEF(.AREA.,{name},$,{},{},{},{},{},$,$)",
                    real(web),
                    real(flange),
                    real(t),
                    real(t),
                    real(nm(p.radius)),
                ));
                Some((id, Drawn::channel(web, flange, 0, t)))
            }
            Section::LippedChannel | Section::PlainChannel | Section::Hat => {
                let outline = outline(p);
                let drawn = Drawn::ribbon(&outline)?;
                let mut points: Vec<u64> = outline
                    .iter()
                    .map(|&(x, y)| {
                        self.put(&format!("IFCCARTESIANPOINT(({},{}))", real(x), real(y)))
                    })
                    .collect();
                points.extend(points.first().copied());
                let curve = list(&points);
                let curve = self.put(&format!("IFCPOLYLINE({curve})"));
                let id = self.put(&format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,{name},#{curve})"));
                Some((id, drawn))
            }
            Section::Zed | Section::Angle => None,
        }
    }
}

/// The outline of a channel or hat without its radii: web at the left, left flange above.
fn outline(p: &Profile) -> Vec<(i128, i128)> {
    let nm = |length: Length| i128::from(length.nm());
    let (h, t) = (nm(p.web), nm(p.thickness));
    let side = |flange: Length, lip: Length, y: i128, inward: i128| -> Vec<(i128, i128)> {
        // From the web's outside corner along the flange, around the lip, back to the web.
        let (b, c) = (nm(flange), nm(lip));
        let turn = if p.section == Section::Hat { -inward } else { inward };
        if c == 0 {
            return vec![(0, y), (b, y), (b, y + inward * t), (t, y + inward * t)];
        }
        if p.section == Section::Hat {
            return vec![
                (0, y),
                (b - t, y),
                (b - t, y + turn * (c - t)),
                (b, y + turn * (c - t)),
                (b, y + inward * t),
                (t, y + inward * t),
            ];
        }
        vec![
            (0, y),
            (b, y),
            (b, y + turn * c),
            (b - t, y + turn * c),
            (b - t, y + inward * t),
            (t, y + inward * t),
        ]
    };
    let mut points = side(p.right_flange, p.right_lip, 0, 1);
    let mut upper = side(p.left_flange, p.left_lip, h, -1);
    upper.reverse();
    points.extend(upper);
    points
}

fn half(length: Length) -> String {
    let nm = i128::from(length.nm());
    // Half a nanometre is below every other rounding; openings are read as twice the radius.
    if nm % 2 == 0 {
        return real(nm / 2);
    }
    format!("{}5", pad(real((nm - 1) / 2)))
}

/// Six decimals, so that a seventh can follow.
fn pad(text: String) -> String {
    let decimals = text.split_once('.').map_or(0, |(_, d)| d.len());
    format!("{text}{}", "0".repeat(6_usize.saturating_sub(decimals)))
}

/// The middle of a feature along its member.
pub(in crate::exchange) fn middle(feature: &Feature, shape: &Shape) -> Length {
    use crate::member::model::Place;
    match feature.place {
        Place::Point { at, .. } => at.on(shape.length).distance(),
        place => {
            let (first, last) = place.extent(feature.outline, shape.length);
            let sum = i128::from(first.distance().nm()) + i128::from(last.distance().nm());
            Length::from_nm(i64::try_from(rounded(sum, 2)).unwrap_or(i64::MAX))
        }
    }
}

fn predefined(usage: Usage) -> &'static str {
    match usage {
        Usage::Stud | Usage::KingStud | Usage::TrimmerStud | Usage::CrippleStud => "STUD",
        Usage::TopPlate | Usage::BottomPlate | Usage::Plate => "PLATE",
        Usage::Brace => "BRACE",
        Usage::Rafter => "RAFTER",
        Usage::TopChord | Usage::BottomChord => "CHORD",
        Usage::Batten => "PURLIN",
        _ => "MEMBER",
    }
}
