super::codes! {
E0201 "unknown-name" Error "a constant or parameter is used that nothing defines"
"A name in an expression is a `let` of the file or of a file it includes, a parameter of the recipe it stands in, or the name of a `for`. This one is none of them, so there is no number to put in its place."

E0202 "unknown-recipe" Error "a recipe or group is called that nothing defines"
"Recipes and groups come from the file itself and from the files it includes. A member made from a recipe that is not there would be a bare length of section."

E0203 "unknown-feature-type" Error "a feature type is not in the shop's library"
"Features are named by the types in the shop's library: what a type is called there, every member file calls it. A type that nobody described has no size, no tolerance and no tool."

E0204 "unknown-function" Error "a function is called that does not exist"
"Expressions know a few functions, `min`, `max`, `round`, `round-up`, `round-down`, `abs` and `count`. Anything else in front of brackets is a slip, or a recipe written where a number is needed."

E0205 "unknown-profile" Error "a profile is not in the shop's library"
"The profile decides the strip, the rolls and where the faces are. The member file may give it a short name with `profile C90 = \"C90x40-0.75\"`; the long one must be in the library."

E0206 "used-before-defined" Error "a constant is used above the line that defines it"
"Constants are known from their line on, so that a file can be read from top to bottom. Move the definition up."

E0207 "defined-twice" Error "one name is defined twice"
"A constant, recipe, group or short profile name has one meaning in all of a file and what it includes. With two, half the members would be made by the one and half by the other."

E0208 "ambiguous-name" Error "a name comes from two included files"
"Two of the included files define this name, and nothing says which is meant. Rename one of them, or include only the one that is wanted."

E0210 "wrong-arguments" Error "a recipe is called with arguments it does not take"
"A call gives each parameter one value, by place or by name; parameters with a default may be left out. Too many, too few or misnamed ones mean that the caller has another recipe in mind."

E0211 "recipe-calls-itself" Error "a recipe calls itself"
"Followed from call to call, a recipe or group leads back to itself. A member made so would never be finished. Repetition is written with `every`, `equal` or `for`."

E0212 "called-wrongly" Error "a group is called like a recipe, or the other way round"
"A group is written relative to a centre and is placed: `bolts(12) at 300`. A recipe describes a whole member and is called without a place. Inside a group nothing can be called or said that needs the whole member."

E0213 "too-much-asked" Error "more is asked for than is ever made"
"A member has tens of features, a recipe calls a few others, a job makes some thousand pieces. Recipes that call recipes, lists of lists, a pattern with a very small step or a slip in a range of marks multiply far beyond that. What explodes is refused instead of waited for."

E0214 "not-in-group" Error "something is said in a group that is not about its centre"
"A group is a pattern of features about a centre, written once and placed on many members: its positions are plain lengths relative to the centre, and it knows no start, end, length or profile. Say these in the member or in a recipe."

E0220 "wrong-kind" Error "a value of another kind is needed"
"Lengths, plain numbers, positions, conditions and lists are kept apart: a position cannot be added to a position, and a condition has no length. The message says what stands here and what is needed."

E0221 "division-by-nought" Error "an expression divides by nought"
"The divisor of this expression is nought for this member. There is no number to go on with."

E0222 "number-too-large" Error "a number does not fit"
"Numbers of the language are exact fractions of up to 38 digits. An expression left that range, which no dimension of a building does: most likely a digit or a unit is wrong."

E0223 "mixed-units" Error "bare numbers of two units meet"
"A bare number is in the unit of the file it stands in. A file in inches and one in millimetres meet here, and adding their bare numbers would be wrong by a factor of 25.4. Write the unit at the numbers."

E0224 "not-even" Error "a length does not come out even"
"Lengths are whole nanometres, so that no two of them ever differ by a rounding nobody wrote. A third of a length seldom is one. Say how it shall be rounded: `round(height / 3, 0.5)`, or `round 0.5` at a pattern."

E0225 "beyond-ten-kilometres" Error "a length is beyond 10 km"
"No coil holds that much strip. Most likely a unit or a digit is wrong: bare numbers are millimetres unless the file says `units in`."

E0226 "not-positive" Error "a length must be more than nought"
"A member, a size or a step of nought or less cannot be made; a tolerance below nought says nothing. The value comes from an expression that went too far for this member."

E0227 "bad-quantity" Error "a quantity is not a whole number"
"Pieces are counted. A quantity is a whole number from one up, written without a unit."

E0228 "absurd-tolerance" Error "a tolerance that nobody can mean"
"A stroke is fired wherever in its tolerance the line's rhythm suits best, and the proof holds the piece against the same tolerance. More than 50 mm each way is mostly a slip of the unit, in a file that says `units in` for instance. See also E0333.

The bound is common practice, no source. Where a place does not matter at all, 50 mm leaves the line room enough."

E0230 "no-length" Error "a member has no length"
"A member's length is said on its line, in its body, or by the recipe it is made from. Nothing can be cut without it."

E0231 "said-twice" Error "one thing is said twice, and differently"
"Two lines say different things about the same member, frame or file, or two included files do about the frames of the file that includes them. Nobody can tell which is meant. Inside a recipe, choose with `if`; between included files, say it in the file itself."

E0232 "no-profile" Error "a member has no profile"
"The profile is said on the member, its frame, or at the head of the file. It decides the strip, the rolls and what the tools can reach."

E0233 "no-tolerance" Error "a feature has no tolerance"
"A joint hole and a service hole differ tenfold in how exact they must be. The tolerance comes from the feature, its recipe, its frame or job, or its type in the library, in this order; here none of them says any, and nobody can guess."

E0234 "no-length-tolerance" Error "a member's length has no tolerance"
"Every cut is a little off. How much is allowed comes from the member, its recipe, its frame, the head of the file, or the profile. Without any, nobody can say whether a piece is right."

E0236 "bad-mark-range" Error "a range of marks cannot be counted out"
"`S1..S7` stands for seven marks: the same letters, and a number that counts up. Zeros in front are kept, so `N01..N12` has two digits throughout."

E0237 "duplicate-mark" Error "a mark is given twice in a frame"
"The crew finds a piece by its mark. Two different members of one frame with the same mark cannot be told apart on site; for members that are alike, say a quantity."

E0238 "duplicate-frame" Error "a frame's name is used twice in a job"
"Frames are bundled and delivered by name. Two bundles of one name end up in the wrong place; for frames that are alike, say a quantity."

E0239 "mark-text-field" Error "a mark's text has a field that means nothing"
"The text printed on a piece is written out, with `{job}`, `{frame}` and `{mark}` where these belong. Another word in braces would be printed as it stands, and the crew would look for a mark that is not there."

E0240 "waiver-of-nothing" Error "a waiver names a frame or member that does not exist"
"A waiver allows one finding in one place because somebody answers for it. If the frame or mark it names is gone, either it was meant for another or what it allowed is gone too: nobody should find that out on site."

E0241 "unsigned-waiver" Error "a waiver has no reference or no name"
"A waived finding stands in the report with the letter or drawing that allows it and the person who did. Without both, nobody answers for it."

E0250 "face-not-allowed" Error "a feature is on a face where its type cannot be"
"The shop's library says on which faces each type can be made. Another face would need a tool that does not exist."

E0252 "no-size" Error "a feature needs a size"
"The library leaves this size open for the type, so each feature gives it: `hole 12`, `slot 60 x 30`."

E0253 "size-disagrees" Error "a feature's size is not the size of its type"
"The library fixes this size for the type, or the range says it, and the member says another. One of the two is not what the tool makes."

E0254 "placed-wrongly" Error "something is not placed as it must be"
"A hole is placed by its centre, a notch by its range or its centre and length, a swage by its end; the shop's library says which for each type. A group is placed by single positions of its centre."

E0255 "same-feature-twice" Error "the same feature is written twice"
"Two features of one type lie at the same place on the same face. The tool would fire twice into its own mark. Often two patterns meet at a common point: let one of them begin a step later."

E0256 "spaces-run-backwards" Error "equal spaces run backwards"
"Positions grow from the member's start to its end. `equal at most s from a to b` has a feature at a and one at b; where b lies before a on a member of this length, one of the two is not where it was meant."

E0257 "bad-slope" Error "a slope cannot be made out"
"A slope is rise : run, both nought or more, with the side of the long point. It is kept in lowest terms and must be one that a shear can be set to."

W0258 "pattern-makes-nothing" Warning "a pattern makes nothing on this member"
"The pattern's end lies before its beginning on a member of this length, so no feature comes of it. That may be meant for short members; then put the pattern in an `if`."

E0259 "rounded-too-coarsely" Error "equal spaces are rounded more coarsely than they are wide"
"Rounding may move a position by half its step. With a step as wide as the space, positions would fall together or open gaps wider than asked for."

E0260 "include-circle" Error "files include each other in a circle"
"A file includes itself, directly or through others. Put what both need into a file of its own that includes neither."

E0261 "too-many-files" Error "files are included too deeply, or too many of them"
"Includes are meant for shared recipes: a few files, one or two deep. Deeper nesting is refused so that a slip cannot read a whole disk."

E0262 "no-job-line" Error "a members file has no job line"
"Every piece is known by job, frame and mark. A file without a job line can be included by others but not be made by itself."

E0263 "two-job-lines" Error "a file has two job lines"
"A file belongs to one job. Put the second job into a file of its own and list both in the batch."

E0264 "included-job" Error "an included file has a job line"
"What a file includes is part of its job. A job line in the included file would make its members count for two jobs. Take the line out, or list the file in the batch."

E0265 "listed-twice" Error "a members file is listed twice"
"Every member in it would be made twice. To make a frame twice, give it a quantity."

E0266 "two-revisions" Error "one job comes in two revisions"
"Two of the listed files belong to the same job but to different revisions of it. A crew that holds one drawing would get pieces of the other."

W0268 "empty-frame" Warning "a frame has no members"
"Nothing is made for this frame, and its bundle will be empty. Its members may have been lost from the file, or be meant for another."

W0270 "unused-recipe" Warning "a recipe or group is never used"
"Nothing of it is on any member. Either members that should call it do not, or it is left over from a revision."

W0271 "unused-constant" Warning "a constant is never used"
"Nothing depends on this `let`. Whoever changes it later expects the members to follow, and they do not: use it, or take it out."

W0272 "unused-profile" Warning "a short profile name is never used"
"No frame or member is of this profile. Members that should be of it may be of another."

W0273 "empty-job" Warning "a job has no members"
"A batch with this job makes nothing of it. Its frames may be in a file that is not listed."

W0275 "hyphen-in-range" Warning "a mark looks like a range and is one member"
"A hyphen belongs to a mark, as in `2B-14`. `S1-S7` therefore is one member with this text for its mark, and only one piece is made; a range is written with two dots. If the mark is meant as it stands, leave it."
}
