//! What NC files can say and members are not read from, each with a sentence of its own. What the
//! blocks hold is from memory.

/// A cut of an end by an angle, in the order of the head's lines.
pub(super) struct EndCut {
    end: &'static str,
    across: &'static str,
    pub help: &'static str,
}

/// The last figures of the head.
pub(super) const END_CUTS: [EndCut; 4] = [
    EndCut { end: "start", across: "web", help: START },
    EndCut { end: "end", across: "web", help: END },
    EndCut { end: "start", across: "flanges", help: FLANGES },
    EndCut { end: "end", across: "flanges", help: FLANGES },
];

const START: &str =
    "write the member by hand, with the slope as it is drawn: `start slope 4 : 12 long point left`";
const END: &str =
    "write the member by hand, with the slope as it is drawn: `end slope 4 : 12 long point left`";
const FLANGES: &str = "ends that slope across the flanges are not made on the line: saw it by hand afterwards, and leave the angle out here";

impl EndCut {
    /// What is said of an angle, which is no slope: 4 : 12 is 18.4349… degrees, and what is
    /// rounded comes out as another slope.
    pub fn what(&self, angle: &str) -> String {
        format!(
            "the {} of this part is cut at {angle} degrees across its {}; which slope that is \
             rounded from cannot be told",
            self.end, self.across
        )
    }
}

/// What a block that is not read would say, and what to do about it.
pub(super) fn refused_block(block: &str) -> (String, &'static str) {
    let (what, help) = match block {
        "PU" | "KO" => (
            "puts lines or points on the part to set other parts by",
            "nothing is marked on the line but the member's text: leave it out, with `leave-out` in [nc] of the map",
        ),
        "SC" => (
            "says how the part is sawn",
            "write the member by hand, with `start slope` and `end slope`",
        ),
        "KA" => ("bends the part", "the section is all that is formed: take the part out"),
        "UE" => ("cambers the part", "members are straight: take the part out"),
        "TO" => (
            "says how far the length may be off",
            "write it as the member's `length-tolerance`, and leave the block out, with `leave-out` in [nc] of the map",
        ),
        "PR" => (
            "describes a section of its own",
            "put the section into the library as a profile, and name it in the part",
        ),
        "AG" => (
            "taps or countersinks holes",
            "holes are plain: do it by hand afterwards, and leave the block out, with `leave-out` in [nc] of the map",
        ),
        _ => (
            "is none that is known here",
            "outlines (AK), openings (IK), holes (BO) and one sign (SI) are read",
        ),
    };
    (format!("the block {block} {what}"), help)
}
