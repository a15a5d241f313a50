super::codes! {
E0801 "advance-out-of-bounds" Error "an advance is beyond any coil"
"Replay feeds a virtual strip through the line, event by event. This event asks for more strip than any coil holds (10 km), or as far the other way. Replay stops here: nothing after it can be believed.

A compiled program never holds such a figure. The file was damaged or edited: compile the batch again."

E0802 "advance-falls" Error "an advance is smaller than the one before"
"The strip is fed one way only. An event that stands before the one above it would need the strip pulled back through the forming stands; most controllers would do nothing, and every stroke after it would be out of place.

Replay stops here. Compile the batch again."

E0803 "off-the-increment" Error "the line cannot stop at this advance"
"The line moves in increments. A stop between two of them is rounded by the controller, one way or the other, and the stroke is not where the program says. Compiled stops always stand on the increment grid.

The line file says what the increment is; a program made for another increment cannot be run."

E0804 "before-thread-up" Error "a stop before the strip can be driven there"
"Before the first advance at which tools may fire the strip is not yet held: after a cold thread-up that is what the line file says, on a strip that stayed threaded it is the cut at the shear. A tool that fires earlier hits a strip nobody holds."

E0805 "nothing-to-work-on" Error "a tool or the shear works where there is no strip yet"
"The leading edge has not come this far: the stroke falls on air, and the mark is missing from the member. On the machine the tool closes on nothing, or on a bare edge, which breaks punches.

The head of a program is as long as the furthest station needs it; a shorter head brings this."

E0806 "stroke-on-cut-strip" Error "a tool fires on strip that is already cut off"
"At this advance the point the tool works on has passed the shear and dropped, or was lost as slug. The mark is missing from the member it was meant for. A tool at the shear has to fire before the cut, at the same standstill."

E0807 "stroke-past-coil-end" Error "a tool works past the end of the coil"
"The coil is shorter than this stroke needs: there is no strip left under the tool. Check the length of the coil in the stock file against its docket, or what is left of it against a tape."

E0808 "station-twice" Error "a station fires twice at one standstill"
"A station has one ram: at one standstill it can strike once. A second stroke in the same place is a double hit, or a record that was copied by mistake."

E0809 "no-such-tool" Error "a program names a tool the line does not have"
"A stroke refers to a tool that is not in the line file. The program was made for another line, or for this line before it was changed. Compile the batch again for the line as it is now."

E0810 "refire-too-near" Error "a tool strikes again too near to its last stroke"
"The line file says how far apart on the strip two strokes of this tool must be: the tool needs sound metal to hold, and a stripper does not clear half a slug. Two strokes nearer than that tear the web between them or leave a sliver in the die."

E0811 "footprint-over-cut" Error "a tool clamps over a cut"
"The stripper and die of a tool hold the strip to either side of the mark. Here that stretch reaches over a slug or over the strip's edge: the tool would clamp on an edge, and the mark would be torn or drawn. Only tools made for it, end tools and tools that straddle the cut, may work there."

E0812 "footprints-overlap" Error "two tools clamp the same place"
"What one tool has made lies under the stripper or die of another, and the line file does not say that this pair may overlap: the second tool would crush the first one's mark. If the shop knows that this pair does no harm, the line file may list it under overlaps, with the order in which they must fire."

E0813 "overlap-order" Error "two tools overlap in the wrong order"
"The line file allows this pair of tools to overlap on a member, but only in one order: the other way round the second one works on metal the first has already deformed, or a hole is drawn out of shape. In one phase of a stop they fire together, which is no order."

E0814 "past-the-tail" Error "the strip can no longer be driven this far"
"When the coil's end leaves the last drive, what remains cannot be fed under the shear: the line file gives that length as the tail. A cut or a stop past it never comes; the line stands with a member that is not cut off."

E0815 "scrap-does-not-drop" Error "a piece of scrap is too short to drop"
"A piece shorter than the shear can part and drop jams between the blades or falls into the run-out. A gap between two members is either nothing at all or at least one slug and one piece of scrap that drops."

E0816 "cut-over-cut" Error "a cut falls into the slug of the one before"
"There is no metal left to cut: the shear has already taken this strip away. A cut was doubled, or two members overlap by the width of the slug."

E0817 "piece-on-defect" Error "a good piece lies on a defect of the coil"
"The stock file marks this stretch of the coil as a defect: a splice, a dent, damaged coating. Nothing that goes into a building may be cut from it. Programs cut such a stretch away as scrap."

E0818 "no-trim" Error "the first piece is cut without a trim"
"A freshly threaded coil ends in whatever edge it was torn or parted with. The first cut of a cold start squares it and drops as scrap; a member cut without that trim has a bad start. Only on a strip that stayed threaded is there a clean cut to begin from."

E0819 "head-too-short" Error "the head is shorter than the line needs"
"The line file gives the least strip lost after a thread-up, trim and slug included: the part the forming stands have not shaped properly. A good piece that begins sooner is out of shape at its start."

E0820 "piece-unfit-for-line" Error "a piece is too long or too short for the line"
"The run-out takes members up to a length, and below another the stands cannot hold and let go of them. A piece outside these limits jams or falls before the cut."

E0821 "mark-cannot-be-printed" Error "a mark cannot be printed"
"The line has no marker, the text is empty, or it has more characters than the marker takes. The piece would come off without the text a crew looks for."

E0822 "mark-over-cut" Error "a mark is printed over a cut or past the strip"
"Part of the text falls into the slug, on the next piece, on air, or is still to be printed when the piece is cut off: nobody can read it. A mark lies whole on its piece."

E0823 "member-gone" Error "a tool past the shear fires after its member is gone"
"A station downstream of the shear works on the member that sticks out under it. Once that member is cut off there is nothing there any more: the stroke has to come before, or at, the standstill of the cut."

E0824 "stray-on-remnant" Error "strip that goes back to the rack is marked"
"A stroke or a printed mark lies on strip that no cut of this program takes off. That strip counts as good and is used again: a hole would turn up in some other member, a mark would be read as two."

E0825 "program-for-another" Error "the program is for another line, profile or coil"
"Advances are right for one line, one profile and one coil only: other station distances, another forming factor, other defects. Run the program its papers name, or compile for what stands at the line."

E0826 "coil-does-not-suit" Error "the coil is not the strip this profile needs"
"Strip width, thickness, grade and coating of the coil must be those of the profile. A section rolled from another strip has other dimensions and another strength; nobody would see it once it is formed."

E0827 "warm-start-without-strip" Error "the program counts on a strip that is not threaded"
"A warm program begins at a clean cut under the shear, without a trim. The stock file does not say that this coil is threaded in the line: the first piece would begin with a torn edge and all strokes would be off by the length that was threaded by hand."

E0828 "line-figures-unusable" Error "figures of the line, calibration or coil cannot be replayed"
"A distance is negative or beyond 10 km, a forming factor halves or doubles the strip, or a tool stands at a station that is not there. Replay counts in whole nanometres and refuses what would not fit rather than count wrong."

E0829 "too-dense" Error "more strokes in one place than can be judged"
"Thousands of strokes lie over the same few millimetres of strip. No member is made so and no tool works so; replay gives up rather than spend hours on it. The file was damaged or made up."

E0830 "press-overloaded" Error "a press is asked for more force than it has"
"Strokes of one phase fire together, and the stations of one press share its force. Asked for more it stalls with the punches in the strip, and the line stands until they are cut free."

E0831 "clash" Error "two tools fire together that hit each other"
"The line names pairs of tools that may not fire at the same moment, because their dies or their drives are in each other's way."

E0832 "slope-not-made" Error "a cut on a slope the shear cannot be turned to"
"The line file lists the slopes its shear can be turned to. The program asks for another one: it was made for another line, or the line file has changed since. A hat's lips stand out beyond its web, where no slope across the web says how the cut runs: such sections are cut square."

E0833 "cuts-cross" Error "two cuts run into each other"
"Two cuts on different slopes need strip between them: at one side of the web the second would begin before the first has ended. What drops is no piece, and the blade bites into the edge it has just made."

E0834 "end-tool-on-slope" Error "a tool that shapes square ends comes down on a sloped cut"
"Tools that shape an end, or both ends at a cut, are made for a square one. On a slope part of their mark lies beyond the end at one side of the web, on the next piece or in the slug."

E0835 "sloped-edge-stays" Error "strip that is used again begins on a slope"
"The next run counts on a clean, square edge. The last cut of this program leaves the strip's edge on a slope."

E0836 "fires-in-turn" Error "tools of one stop fire one after the other where all fire at once"
"The line file says that this controller fires all tools of a stop at one moment. The program has some of them fire first and others later without a move between. What the machine would really do is not known: most likely all strike together, tools hit each other, a press stalls, or a hole is punched over a dimple that is not there yet."

E0840 "serial-unknown" Error "a cut claims a piece nobody asked for"
"The program says which piece drops at a cut, by serial. This serial does not belong to this program: the piece would turn up without a place in any frame, or the record was changed."

E0841 "serial-twice" Error "two cuts claim the same piece"
"A serial is used once. Two pieces with one serial mean that another piece is missing, or that one is made twice."

E0842 "piece-missing" Error "a piece that is wanted never drops"
"A member of this program is not among the pieces that come off: no cut claims its serial. The frame it belongs to would be one member short."

E0843 "mark-missing" Error "a piece comes off without its mark"
"The line has a marker and the piece is long enough for its text, but nothing readable is printed on it. The crew cannot tell which member it is."

E0844 "mark-wrong" Error "a piece carries another mark than its own"
"The crew goes by what is printed. A piece with the mark of another, or with two marks, is built into the wrong place, or searched for in vain."

E0845 "length-out" Error "a piece is out of its length tolerance"
"The distance between the two cuts, as finished length, is further from the drawing than the member's length tolerance allows."

E0846 "feature-missing" Error "a feature is missing from a piece"
"Nothing that could be this feature lies on the piece: no stroke of a tool that makes its type, on its face."

E0847 "feature-misplaced" Error "a feature is out of place on a piece"
"A stroke of the right kind is there, but further from where the drawing puts it than its own tolerance allows, measured from the real end, start or middle the drawing names. A feature that reaches from one place to another is judged at both edges."

E0848 "mark-not-wanted" Error "a piece carries a mark that is not on its drawing"
"A hole, notch or swage, or a sliver of one, lies on a good piece where the drawing has none: a stroke meant for a neighbour, a tool that overruns the slug, a stroke too many. It weakens the member or keeps it from fitting."

E0849 "feature-wrong-shape" Error "a feature has another outline than its drawing"
"At the place of this feature the strip carries a mark of the right type but another shape, size or position across the face."

E0850 "not-within-accuracy" Error "a feature is in tolerance only if the line is exact"
"As programmed the piece is right, but a line stops and strikes within its accuracy, not exactly: moved by the accuracy of line and tool together, this stroke leaves its tolerance. Compiled programs keep the accuracy off every tolerance, so that what is in tolerance on paper is so on the floor."

E0851 "end-not-shaped" Error "an end is cut on another slope than it is drawn"
"The end is drawn square or on a slope, with its long point at one side; the cut that made it was another one. A cut shapes the end of one piece and the start of the next: both are right only where the two are parallel. A mirror image is another part."

E0852 "wrong-profile" Error "a piece is rolled in another profile than its drawing"
"The member is drawn in one profile and this program rolls another. Every hole may be right and the member is still scrap."

E0853 "mark-out-of-place" Error "a mark stands elsewhere on its piece than the marker has its place"
"The line file says how far from a member's start its marker begins to print, and how much a stamp may be off that. This mark is on its own piece and begins elsewhere. The crew looks for it where it always is, and another place on the member may be covered, bent or joined."

E0860 "tool-not-in-set-up" Error "a tool fires that cannot be used in this set-up"
"The line file says which tools cannot be used when it is set up for a profile: they are taken off, or they would hit the section. The program fires one of them. It was made for another set-up, or the line file has changed since."

E0861 "bar-on-line-without" Error "a program runs a bar on a line that takes none"
"The line file does not say how bars are fed: what is lost at their ends, and how long one takes. What the program relies on is not known of this line. It was made for another one, or the line file has changed since."

E0890 "books-differ" Error "planning and judge book the strip differently"
"Good, slug, head, tail and remnant are booked twice: by planning, before there is a program, and by the judge, from what dropped off the virtual strip. The two do not agree, so one of them is wrong about this batch and nothing is made from it.

This is a mistake in the program, not in your files. Report it with the batch."
}
