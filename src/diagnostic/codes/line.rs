super::codes! {
E0501 "no-tool" Error "no tool of the line makes this feature"
"A member says what it is; the line says what its tools make. A feature is made by a tool that makes its type, in its size, on its faces, at its place across the face. None here does.

The note names the tool that comes nearest and what it lacks. A tool that makes both flanges in one stroke cannot make one flange alone."

E0502 "footprint-over-slug" Error "a tool would stand over the cut"
"Stripper and die clamp the strip to either side of the mark. They must stand wholly on the member: over the slug the die tips, the punch shears its own edge and the cut runs off square. Tools that shape ends are made to reach over; others are not."

E0503 "impossible-order" Error "the stations stand in the wrong order for these features"
"Where two tools overlap, the line says which fires first. The strip passes stations in the order in which they stand; a feature at x meets a station at distance d when the advance is x - d. If the tool that must be first comes due later, no choice of stops helps."

E0504 "tools-too-near" Error "two tools clamp over the same place"
"The footprints of the two tools overlap on a common face, and the line does not declare that one may fire over the other. The second stroke would flatten, tear or jam on what the first one made."

E0505 "no-grid-point" Error "no stop of the line lies within the tolerance"
"A line stops only at whole multiples of its increment. What is left of the drawing tolerance after the accuracy of line and tool holds none of these points at the place where this feature is due.

Allow more on this feature, move it a little, or measure and enter a better accuracy."

E0506 "tolerance-under-accuracy" Error "a tolerance is tighter than the line can hold"
"Every stop may be off by the accuracy of the feed, every mark by the accuracy of its tool. A tolerance smaller than their sum would be met by luck. A joint hole that is off leaves a frame that does not close, so it is refused here instead of on site."

E0507 "length-cannot-be-held" Error "the line cannot hold a length tolerance"
"The shear cuts where the strip can stop: at a multiple of the increment, to the accuracy of the feed. No such cut lies within the tolerance of this length."

E0508 "too-short-for-line" Error "a member is shorter than the line lets go"
"Below a certain length a piece does not clear the shear and drop; it jams against the next one, and the line stops."

E0509 "too-long-for-line" Error "a member is longer than the run-out takes"
"The piece must lie on the run-out when the shear parts it. A longer one falls off the table while still held."

W0510 "no-room-for-mark" Warning "a mark does not fit on its piece"
"The marker prints at a fixed pitch from a fixed distance after the start. This text does not fit on the piece, or is longer than the marker prints, so the piece leaves the line blank: it is known only by its place in the order. Write the mark by hand as it comes off, or shorten the text."

E0511 "no-set-up" Error "the line is not described for this profile"
"A line makes a profile only with its rolls, gauges and guides set for it. The line file lists these set-ups with the time each takes."

E0512 "slope-not-possible" Error "the shear does not cut this slope"
"The line file says which slopes its shear can be turned to; one that lists none cuts square. A member drawn with another end would come off too long on one side.

A slope runs across the web, from flange to flange. On a hat the lips stand out beyond the flanges, where it would run on: hats are cut square."

E0513 "strokes-too-near" Error "two strokes of one tool are too near"
"A tool needs a least distance between two of its strokes, or it fires into the edge of its own last mark, draws the punch aside and breaks it."

E0514 "already-cut-off" Error "a station below the shear is reached too late"
"A station below the shear works on a member that is still held by the strip. A feature nearer to the end than the station's distance arrives there only after the cut."

E0515 "order-in-circles" Error "the declared orders of overlapping tools contradict each other"
"The line declares pairs of tools whose footprints may overlap, with the one that fires first. Followed from pair to pair they lead back to where they began, so no order satisfies them."

E0516 "crowded-station" Error "strokes that need stops of their own are due at the same stop"
"A station fires one of its tools once per stop. Two features need it at the same stop and neither window leaves room for a second stop beside it. Move one of them by the line's increment or more, or allow more on it.

On a line that fires all tools of a stop at once, so do strokes of different stations that clash or that a press cannot make together: each needs a stop of its own."

E0517 "years-of-machine-time" Error "a batch would take more than a year of machine time"
"Feed, presses and shear as the line file describes them would need more than a year for this batch. No line is that slow: one of its speeds, accelerations or times has a unit or a digit wrong. The note says where the time goes."

N0518 "blank-at-thread-up" Note "the first pieces of a coil come off without their marks"
"The marker stands upstream of the shear. What lies between the two when a coil is threaded has passed the marker before the first program line runs, and nothing is printed there. These pieces are known only by their place in the order: write their marks by hand as they come off.

A longer head would print them all, at the price of that much strip a coil."

E0520 "slopes-meet" Error "a member is too short for its sloped ends"
"A member's length is to its long points. Where both ends slope, or one slopes further than the member is long, nothing is left of the steel at one side of the web: the second cut would run into the first."

E0521 "sloped-end-shaped" Error "a feature shapes an end that is cut on a slope"
"End shapes, swages over an end and the like are made by tools that stand square to the member and reach inward from its end. On a sloped end such a tool misses the steel at one side of the web, or reaches over the cut into the next member."

E0519 "no-bite" Error "a tool cannot nibble this range on this line"
"A range longer than its tool is made by several strokes. Each must bite something, and neighbours must share enough that no tab is left between them when both are off as far as the line may be. Here nothing is left between the two."
}
