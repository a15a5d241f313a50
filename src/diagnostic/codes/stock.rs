super::codes! {
E0601 "stock-short" Error "there is not enough strip"
"The coils that fit this profile do not hold everything the batch asks for, heads, tails, slugs and defects taken off. The message says how many metres and kilograms are missing. A preview shows what could be made; compiling refuses, so that no frame is started that cannot be finished."

E0602 "no-coil-fits" Error "no coil in stock fits a profile"
"A profile is made from strip of one width, thickness, grade and coating. No coil in the stock file has all four. The note says what the nearest coil has instead: often a typing slip in one of the two files."

W0603 "frame-on-two-coils" Warning "a frame needs more strip than any coil holds"
"Members of a frame are made one after the other on one coil, so that a bundle is complete when it leaves the line. This one is longer than every coil; it is split, and its parts must be brought together by hand."

E0604 "nesting-contradicts-itself" Error "a nesting did not survive its own check"
"Every nesting is recomputed from scratch before it is used: each bundle once, no coil over its length, jobs in order, and no less strip than any plan needs. This one failed, which is a fault in Coilwright, not in the batch. Nothing was made from it."

W0605 "threaded-coil-not-used-first" Warning "the coil in the line is not the one the batch begins on"
"A coil that is threaded saves a thread-up and a head when the batch begins on it. Here no member that comes first can be made from it, so it is parted and taken off, and the strip between the shear and the parting place is lost before the batch begins."

E0606 "too-many-pieces" Error "a batch asks for more pieces than are planned at once"
"Every piece is placed on a coil, written into a program and judged by itself. A batch is a shift's work or a week's; millions of pieces mean that a quantity has a digit too many. Spread real work over several batches."

W0607 "bars-left-out" Warning "bars in stock cannot be used on this line"
"A line that takes bars says so in its file: `[bar]` with the head and tail each bar loses and the time to feed the next. This line's file has no such entry, so the plan is made from coils alone."

E0609 "done-piece-unknown" Error "a piece is listed as done that the batch does not ask for"
"`done` lists pieces that need not be made any more, each by job, frame, copy and mark, as the run sheet it was made from has them. The members ask for no such piece, or for fewer of that mark than are listed. Then the list is of another batch or of another revision of the drawings, and something that is needed might be left out."
}
