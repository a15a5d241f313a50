super::codes! {
E0101 "unknown-character" Error
"a character that has no place in a members file"
"Members files are made of words, numbers, strings in quotes and a few signs. Signs for feet, inches and diameters are not among them, because a quote begins a string: write units as words, such as `8ft 4 1/2in` or `22mm`.

A fraction sign such as ½ is written `1/2`, a multiplication cross between two sizes is the letter x: `slot 60 x 30`. Inside quotes and comments any character may stand."

E0102 "unclosed-string" Error
"a string that does not end on its line"
"A string begins and ends with a double quote on the same line. There is no way to write a quote inside it: spell inches as `in`.

An unclosed string would swallow whatever follows, so the rest of the line is passed over."

E0103 "long-number" Error
"a number with too many digits"
"A number may have fifteen digits, all its parts together: enough for ten kilometres in nanometres. A longer one is a slip of the keyboard or of a script, and no machine could hold it."

E0104 "glued-number" Error
"a number with something stuck to it"
"A minus needs a space on each side, because names and marks may hold hyphens: `2386-24` could be a mark, `nog-24` a name. Write `2386 - 24`. A size is written with spaces around the x: `60 x 30`.

A hyphen without spaces joins a whole number and its fraction only: `5-1/2in` is five and a half inches, and `8ft-4in` eight feet four."

E0105 "misplaced-statement" Error
"a statement that does not belong where it stands"
"Outside frames stand the job, units, includes, profiles, recipes, groups, frames, defaults and waivers. Members stand in frames. Features, lengths, conditions and end shapes stand in the body of a member, a recipe or a group.

What is meant for every member of a wall is written in a recipe, and each member made from it: `member S1..S7 stud = wall-stud(2386)`."

E0106 "expected-something-else" Error
"something else is needed here"
"The statement begins well, but something is missing or wrong at the place shown. The rest of the line is passed over; the lines after it are read as usual.

The help line says what to write. The whole grammar is in the file grammar/members.ebnf."

E0107 "feature-without-place" Error
"a feature that does not say where it is"
"Every feature says where along the member it is: `at` with positions, `both ends`, `start` or `end`. A feature without a place cannot be punched.

A line that begins with a word that is no keyword is taken for a feature of that type; if it was meant as something else, the word is misspelt."

E0108 "unclosed-block" Error
"a block that is not closed"
"Every `{` needs its `}`. The end of the file, or a statement that belongs further out, was reached before it came. The block is taken to end there, so that what follows is still read."

E0109 "stray-brace" Error
"a closing brace too many"
"This `}` closes nothing. Either it is one too many, or the `{` that belongs to it is missing further up, and what stands between was read as if outside."

E0110 "unclosed-bracket" Error
"a bracket that is not closed"
"Every `(` needs its `)` and every `[` its `]`. Lines may end anywhere inside them, so the place where something else turned up may be lines below the bracket that is missing its partner."

E0111 "word-kept-for-later" Error
"a word that is kept for a later version"
"`place`, `join` and `connect` will say where frames stand and how they are joined. They mean nothing yet and cannot be used as names, so that members files written today stay valid."

E0112 "reserved-word" Error
"a reserved word used as a name"
"Words that the language itself uses cannot be the name of a constant, a parameter, a recipe or a feature type: a reader, and a script, must be able to tell them apart. Marks, frames and revisions may be called anything."

E0113 "unknown-usage" Error
"it is not said what the member is for"
"After its mark a member says what it is for, in the words of the trade: stud, king stud (jamb stud), trimmer, cripple, top plate or top track, bottom plate or bottom track, plate or track, nogging (noggin, blocking, dwang, bridging), lintel (header), sill, brace, joist, rim, rafter, top chord, bottom chord, web member (of a truss), batten (purlin, girt), other.

Rules and reports go by it; the run sheet shows it to the operator."

E0114 "two-meanings" Error
"a word that means two members in two countries"
"In North America a jack stud stands beside an opening and carries the header; in Australia and New Zealand it is the short stud above or below one. A file may be read in either place, so the word is refused.

Write `trimmer` for the stud that carries the header, `cripple` for the short one."

E0115 "unknown-frame-kind" Error
"it is not said what the frame is"
"After its name a frame says what it is: `wall`, `floor`, `truss`, `roof`, or `loose` for members that are not assembled in the shop."

E0116 "unknown-face" Error
"a face that a section does not have"
"Looking at the outside of the web with the member's start to the left, a section has a web, a left flange and a right flange, and may have a left lip and a right lip. `flanges` and `lips` mean both. Several are joined by `and`: `on web and left flange`.

A flange alone could be either; it must be said which."

E0117 "nested-too-deep" Error
"nested too deep"
"Blocks in blocks, brackets in brackets, and long chains of arithmetic are read a hundred deep. No member needs a tenth of that; a script that writes more has gone wrong."

E0118 "chained-comparison" Error
"a comparison of a comparison"
"`1 < x < 5` would compare the answer of the first comparison with 5. Write each comparison by itself and join them with `and`."

E0119 "left-over" Error
"something is left over at the end of a statement"
"A statement ends with its line, with `;` or with the `}` of its block. What stands after its end belongs to nothing.

Lines go on only inside brackets and after a comma."

E0120 "fraction-as-divisor" Error
"division by a fraction could mean two things"
"`a / 1/2` could be read as a divided by one half, or as half of a. Digits joined by a slash without spaces are a fraction. Write `a / (1/2)` for the first, `a / 2` for the second."

E0121 "single-equals" Error
"`=` where two values are compared"
"`=` gives a name its value, `==` compares. In a condition only a comparison makes sense."

E0122 "misspelt-keyword" Error
"a word that is almost a keyword"
"The word is no keyword, but very nearly one, and nothing else could stand here. It was read as the keyword to find further mistakes; the file must be corrected all the same."

E0123 "hidden-character" Error
"a character in quotes that does not show"
"Control characters, and the characters that turn the direction of text around (U+202A to U+202E, U+2066 to U+2069), come into a file by pasting or from a script. Nobody sees them: two marks look the same and are not, a mark reads backwards on the list and forwards on the steel, and a printer may take one for a command.

Delete it: put the cursor behind the character before it and type the rest of the text anew. A tab may stand in quotes; letters of every script may."

W0124 "origin-astray" Warning
"a row is named where no member stands"
"A comment that begins with `#@` says which list and row a member was imported from, so that findings about the member lead there. It stands behind the member's first line: behind its `{`, or behind all of it where it has no body. This one stands elsewhere, or names nothing: a line was moved or joined by hand, and nobody can say which member it speaks of.

Put it back behind its member, or make it a plain comment by taking the `@` away."

E0199 "more-mistakes" Error
"more mistakes than are shown"
"Only the first two hundred mistakes of one file are kept. A file with more of them is usually not a members file, or was cut off or garbled on its way. Correct the first ones and look again."
}
