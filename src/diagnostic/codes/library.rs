super::codes! {
E0301 "toml-syntax" Error "a library file is not TOML"
"The file breaks the rules of TOML at the place shown, so what it says cannot be told. The usual slips: a figure with a unit without quotes (write `offset = \"3.6 m\"`), a text without quotes, a key written twice in one table, a bracket or quote that is not closed.

All places where the reader stumbles are listed, but a mistake in one line can upset the lines after it: mend the first and look again."

E0302 "unknown-key" Error "a key that is not known here"
"A key that is silently ignored is a setting the shop believes in and the line does not have. So every key must be one the program knows at this place. Keys are words in lower case, parted by hyphens."

E0303 "missing-key" Error "a key that is needed is missing"
"This table cannot be used without the key named. There are no hidden defaults for figures that differ from shop to shop, such as slug, offsets and times: they are always the shop's own."

E0304 "wrong-kind-of-value" Error "a value of another kind is needed"
"The key is right, but its value is of another kind: a text where a list is needed, a number where a word is needed. The help line shows how such a value is written."

E0305 "unreadable-figure" Error "a figure or its unit cannot be read"
"Figures with a unit stand in quotes: `\"12 mm\"`, `\"3/32 in\"`, `\"1-5/8 in\"`, `\"3 ft 4 in\"`, `\"0.2 s\"`, `\"60 m/min\"`, `\"5 m/s2\"`, `\"2.5 t\"`. For a length a bare number is millimetres; every other figure needs its unit.

Figures are kept exactly, so what is not a whole nanometre is refused and never rounded unseen."

E0306 "figure-out-of-range" Error "a figure that cannot be"
"The figure can be read but no line, strip or coil has it: a thickness of nought, a negative slug, a coil longer than 10 km, a share above 100 %."

E0307 "unknown-word" Error "a word that is not one of the few known here"
"The key takes one of a few words. The help line gives the nearest, or all of them."

E0308 "declared-twice" Error "a name is declared twice"
"Two things of one kind bear the same name in one library, line or stock. A program or a paper that names one of them could mean either, and the wrong die or coil would be taken."

E0309 "no-such-thing" Error "a name that nothing declares"
"The file names a feature type, profile, station, tool or shipped set that the library or line does not have. The help line gives the nearest name."

E0310 "outline-contradiction" Error "an outline and its sizes do not go together"
"A circle has a diameter; a slot and a rectangle have a length along the member and a width across it. A range takes its length from the member and is a rectangle; a circle shapes no end. A type may leave sizes open, a die may not."

E0311 "name-not-plain" Error "a name with signs that part words elsewhere"
"Names of types, profiles, tools, coils and batches stand in member files, in programs and on papers, where blanks and signs part words. Letters, digits, `-`, `_` and `.` are safe everywhere."

E0312 "section-contradiction" Error "the legs given do not make this section"
"A lipped channel and a hat have two flanges and two lips, a plain channel two flanges and no lips, a Z two flanges with both lips or none, an angle one flange, the right one. A leg is given once, for both sides or for each."

E0313 "leg-too-short" Error "a leg is shorter than its bends"
"Dimensions are out to out, so each right-angle bend takes thickness plus inside radius from a leg. Here nothing flat is left: a unit or a figure is wrong, and so would be the strip."

W0314 "strip-against-blank" Warning "the strip width differs from the computed blank"
"The section, unrolled along the centre line of its wall, needs another strip than the shop states, by more than one per cent. Rules for bends differ among themselves by about half a per cent, so this is more than a rule: a leg, a radius, the thickness or the width is off, or the section has grooves that the figures do not show.

The shop's own width is used as it stands; mass and metres go by it."

W0315 "unusual-radius" Warning "the inside radius is unusual for this thickness"
"An inside radius of nought cracks coated steel, and one of more than twelve times the thickness is not a corner. Often the outside radius or another unit was written."

E0316 "coating-unknown" Error "a coating whose mass is not known"
"A docket's kilograms include the coating and a coil's layers include its thickness, so metres cannot be told without both. Designations of the kinds Z275, G90 and AZ150 are known; for another state name, mass and thickness."

E0317 "rule-without-measure" Error "a rule's limit does not go with its measure"
"`width-to-web` is compared with a `ratio`, `presence` with nothing, every other measure with a `limit` that is a length. A rule with the wrong one would pass everything or nothing."

E0318 "not-a-date" Error "a date that is none"
"A calibration is dated, so that papers show how old it is. Dates are written year-month-day, in quotes."

E0319 "stations-collide" Error "two stations, or a station and the shear, stand in one place"
"The tools of two stations clamp the same stretch of the line. Both cannot stand there, so one distance from the shear is wrong, and every hole that station makes would be off by as much. Tools that really share a place belong to one station."

E0320 "inside-forming" Error "something stands inside the forming zone"
"Among the rolls the strip is neither flat nor a section. A station, its tools' footprint, the marker or the shear cannot stand there: a distance or the zone is wrong."

E0321 "wrong-side-of-forming" Error "a flat station downstream of forming, or a formed one upstream"
"Upstream of the forming zone strip is flat, downstream it is a section. A station on the wrong side means a wrong distance or a wrong word. Which stroke meets the strip first goes by it."

E0322 "tool-against-type" Error "a tool cannot make what it is said to make"
"The type's form, outline, fixed sizes or faces are not those of the tool. A range needs a point tool of its length, an end shape a tool that works at ends or straddles the cut. If it were taken as it stands, the part would carry something else than drawn."

E0323 "footprint-too-small" Error "a footprint smaller than what the tool marks"
"The footprint is what stripper and die clamp, from the tool's centre to either side, so it is at least half of the mark; for a straddling tool at least half the slug and its reach beyond. A small one would let a stroke fall on a cut or on another mark."

E0324 "overlap-order-impossible" Error "two tools can never fire in the order stated"
"Strip passes the upstream station first. Where the one that must be first stands so far downstream that the other has always fired before on the same place, no member can have both."

W0325 "station-without-tool" Warning "a station has no tool"
"Nothing is made at this station. If a tool is mounted there, members that need it will be refused."

E0326 "coil-length-unknown" Error "how much strip is on a coil cannot be told"
"Nesting needs metres. Give `length` as measured, or `mass` (what is on the coil now, coating included), or `outer-diameter`, `inner-diameter` and `winding` together."

E0327 "defect-not-on-coil" Error "a defect zone is not on the coil"
"Defects are measured along the strip from the leading edge as it is now. One beyond the end, or without length, means that it was measured from elsewhere, and then good members would be laid on the bad place."

W0328 "coil-figures-differ" Warning "length, mass and diameters of a coil do not agree"
"The figures differ by more than the uncertainty stated. The measured length counts before mass, mass before diameters. A plan by the wrong one runs out of strip in the middle of a frame."

E0329 "stock-without-coils" Error "the stock has no coil"
"Without a coil nothing can be made or nested, and the batch would only list what is missing. Enter the coils on the rack, the part-used ones with what is left on them."

E0330 "two-coils-threaded" Error "more than one coil is threaded"
"One strip stands in the line. The first run starts on it with a clean cut at the shear and no thread-up, so it must be known which."

E0331 "batch-without-jobs" Error "the batch has no jobs"
"A batch names the members files that are to be made. With none there is nothing to compile, and an empty run would look like a finished one."

E0332 "mark-text" Error "a mark text cannot be printed or tells nothing"
"The marker prints this text on every piece, with {job}, {frame} and {mark} filled in. Without {mark} a crew cannot match part to drawing; an unknown place would be printed as it stands."

E0333 "tolerance-too-loose" Error "a tolerance that nobody can mean"
"A stroke is fired wherever in its tolerance the line's rhythm suits best, and the proof holds the piece against the same tolerance. One of metres, mostly a slip of the unit, lets holes lie anywhere and calls that right.

The bound is 50 mm each way: common practice, no source. The loosest the program's authors have read in a standard for frames is 6.35 mm for a hole and 12.7 mm for a length. The same bound holds in members files, see E0228."

E0340 "nibble-figures" Error "a nibbling tool is not described as one, or another tool is"
"A nibbling tool makes a range longer than itself by several strokes. How much neighbouring strokes share, and how little a stroke may bite, decide how many there are; without them nothing is known of the edge they leave. Tools that do not nibble have no such figures."

E0341 "pattern-not-possible" Error "a tool cannot make this pattern"
"A pattern tool makes several features in one stroke. Its further marks are points, at fixed places from its own. A tool that shapes one end at a time would have them on the wrong side at the other end, and one that nibbles would repeat them with every bite."

E0342 "press-or-clash" Error "a press or a clash does not fit the line's tools"
"Stations driven by one press share its force in each moment, so every tool there says what it needs, and none needs more than the press has. A station has one press. A clash is between two different tools."

E0343 "cut-before-forming" Error "a shear that cuts flat strip before it is formed"
"Coilwright plans for lines that roll the section from strip that hangs together, and cut the section. A line that cuts blanks and forms them one by one is another machine: each blank is fed, stretched and located by itself, and the strip before the shear no longer says where stations behind the rolls work. Rather than take such a line for one it knows, it refuses it."

E0344 "several-feeds" Error "a line with several feeds and a loop between them"
"Punching from one feed and forming from another, with a loop of strip between the two, lets both work at their own pace. Each part of the strip then has an advance of its own, and the loop has to stay between too little and too much. Programs here have one advance for the whole line, and one feed that makes it."

E0350 "set-up-against-coil" Error "what the line is set up for is not the strip in it"
"The batch says which profile the line is set up for now, the stock which coil is threaded. A coil that is not the strip of that profile cannot be both in the line and under its rolls: one of the two entries is from another day."
}
