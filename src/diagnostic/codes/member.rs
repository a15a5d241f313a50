super::codes! {
E0401 "outside-member" Error "a feature is not wholly on its member"
"A feature belongs to one piece. The part that lies beyond the end falls into the cut or onto the next piece on the strip, which then carries a mark nobody drew.

Holes and dimples must lie on the steel with their whole outline, also beside a sloped end, where the member is shorter on one side. Ranges stop at `end` at the latest. Measure from the end (`end - 45`) what belongs to the end: it then stays on the member whatever its length."

E0402 "off-face" Error "a feature reaches over the edge of its face"
"A face is as wide as the section is there, out to out. What reaches further would be punched into the next face round the bend, or into the air beside the strip, where the punch has no die under half of its edge and breaks.

A notch that is meant to take the whole face is a type without a width of its own: it always fits."

E0403 "no-such-face" Error "a feature is on a face the section does not have"
"A plain channel has no lips, an angle has one flange. The same member file may be read with another profile than the one it was drawn for: look whether the profile or the feature is the wrong one."

E0404 "reversed-range" Error "a range ends before it begins"
"A range is written from its lower place to its higher one. On a short member a range between a place measured from the start and one measured from the end (`400 .. end - 400`) turns round by itself; a recipe used for such lengths needs a condition."

E0405 "overlapping" Error "two features overlap that spoil each other"
"The second stroke would land where the first has taken the steel away or formed it. Two holes become one with a tongue in it; a notch struck twice leaves slivers in the die; a service hole in a swaged or notched stretch is no longer round or no longer free.

What is made for each other may overlap: a dimple in a swaged end, a screw hole in the middle of its dimple (but not of a service hole), notches of different types, an anchor or joint hole in a stretch that is formed."

W0406 "too-close" Warning "two holes have too little steel between them"
"With less steel between two holes than it is thick, the second punch draws the strip between them in and both come out of round. The figure is the one punching guides give for a hole and the edge of the part; used between two holes it is common practice.

Move one, or make one slot of the two."

W0407 "near-edge" Warning "a hole is too near the edge of the part"
"Punching guides ask for at least the thickness of the steel between a hole and an edge. Less bulges out or tears, and no screw holds there. Standards for connections ask for much more (the edge distance of a screw is a multiple of its diameter); that is a matter of the rule sets in force. Without one, a screw hole two thicknesses from the end is no finding: the shipped set `irc-2018-r603-2-5` asks for half an inch."

W0408 "near-bend" Warning "a hole is in, or too near, a bend"
"Punching guides keep the edge of a hole twice the thickness plus the inside radius from the wall beyond the bend: that is twice the thickness of flat steel. Nearer, forming pulls the hole out of round, and on a line that punches flat strip the bend bulges where the hole weakens it."

W0409 "small-hole" Warning "a hole is too small to punch"
"A punch thinner than the steel it goes through, or than 1 mm, breaks. Punching guides give the larger of the two as the least diameter. Drill it, or leave it out."

W0410 "end-shaped-twice" Warning "two types shape the same end"
"Types whose purpose is the end itself (an end shape, a coped end) each expect a square end to work on. Where two of them meet on one face, what is left is whatever the two tools leave between them, and rarely what either drawing meant."

W0411 "too-wide" Warning "a feature is wider than a rule allows"
"A rule set in force limits how wide a feature may be across its face, as a length or as a share of the web out to out. The finding names the rule and its clause. Outside such a limit a member is not wrong, but its strength no longer follows from the standard: it takes a patch, or a rational analysis by the engineer.

A finding someone has taken responsibility for is waived in the members file, with the reference; it then stands once in the report."

W0412 "too-long" Warning "a feature is longer than a rule allows"
"A rule set in force limits how far a feature may reach along the member. Outside the limit it takes a patch or a rational analysis by the engineer; then waive the rule with the reference."

W0413 "spaced-too-near" Warning "two features are nearer than a rule allows"
"A rule set in force asks for a least distance between features on one face. Standards differ: some measure from centre to centre, some the clear steel between; each rule says which. Outside the limit it takes a patch or a rational analysis by the engineer; then waive the rule with the reference."

W0414 "near-end" Warning "a feature is nearer to an end than a rule allows"
"A rule set in force asks for a least distance from the member's ends, from the near edge or from the centre; the rule says which. A hole near an end weakens the web where it bears. A standard that measures to the edge of a bearing instead is stricter where the bearing reaches further in: the program does not know bearings."

W0415 "near-face-edge" Warning "a feature is nearer to the edge of its face than a rule allows"
"A rule set in force asks for a least distance between a feature and the edge of its face, out to out: the edge distance of screws, for instance."

N0416 "engineer-required" Note "a rule set leaves this feature to the engineer"
"Some standards forbid a feature in members framed to their tables, such as a cut flange or lip of a stud, while framed systems use it by design. It can be made; that it may be made is the engineer's to say. Waive the rule with the reference of the design and it stands once in the report."

W0420 "waiver-without-finding" Warning "a waiver meets no finding"
"A waiver takes responsibility for a finding. This one meets none: the member has changed since, or frame or mark are misspelt. Left in, it would cover the next finding nobody has looked at."

E0421 "waiver-names-nothing" Error "a waiver names neither a rule nor a code"
"A waiver names a rule of a rule set in force (`hole-spacing`, or `set/hole-spacing` where two sets have one of that name), or the code or slug of a check that needs no line."

E0422 "waiver-of-error" Error "a waiver is for something that cannot be waived"
"Rules are somebody's judgement and can be answered by somebody else's. That a feature lies off its member or over another one is not: the piece cannot be made, or not as drawn."

E0423 "more-findings" Error "the checks find more than is kept"
"Only the first fifty thousand different findings are kept. So many mean one mistake made everywhere: a wrong profile, a wrong unit, a pattern placed on itself. Correct what the first ones have in common and check again."
}
