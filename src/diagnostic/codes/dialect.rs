super::codes! {
E0701 "member-level" Error "a level that its description does not fit"
"A controller at stop level is told every advance and every stroke. One at member level is given members and works out stops and order itself: what can be proved about such a program depends on a model of the controller, the table `[controller]`. It says whose work the distances of the stations are (`offsets`), to which of its stops the controller moves an advance (`snapping`), what strokes due at one advance do (`ties`) and what is merged (`merges-within`).

A description of one level has the records of that level and no others. Stop level: run-begin, stop, stroke, wait, release, cut-piece, cut-scrap, mark, run-end. Member level: run-begin, member, scrap, feature, mark, run-end."

E0702 "unknown-format" Error "a record names a format that is not described"
"A field in a record says how it is written by naming a number format or a text format of the same description. Advances, phases and serials need a number format; names and mark texts a text format.

The name leads nowhere, so there is no way to write the field."

E0703 "field-out-of-place" Error "a record holds a field that does not belong to it"
"Each record stands for one thing: the head of the run, a stop, a stroke, a cut, a mark, the end. A field that is not a property of that thing has no value there: a stop has no serial, a cut fires no list of strokes.

Fields by record: run-begin and run-end: program, batch, line, profile, coil, warm, and at stop level end. stop: at, and the list of strokes. stroke: phase, tool. cut-piece: at, serial. cut-scrap: at. mark: at, text. At member level: member: serial, length, quantity, text. scrap: length. feature: at, tool."

E0704 "field-missing" Error "a record lacks a field it must carry"
"A program is read back from its bytes, replayed and judged before it may leave. What the bytes do not carry cannot be read back, so nothing could be proved about it: a cut without a serial is a piece nobody can match, a stop without its advance is no stop.

Every field must stand in its record exactly once."

E0705 "field-twice" Error "a field stands twice"
"If a value is written in two places, a damaged or edited program can say two different things, and nobody knows which of them the controller follows. Each field is written once."

E0706 "format-does-not-fit" Error "a field is written in a format of another kind"
"Advances need a number format with a unit of length; phases and serials one with `unit = \"count\"`; names and mark texts a text format; tools a text format or none (their code as it stands); `warm` two words, yes and no."

E0707 "no-leading-literal" Error "a record does not begin with a fixed text"
"Where several records may follow, the reader knows which one it sees by the text it begins with. A record that begins with a field, or with nothing, can be taken for another one: a stop for a cut.

Begin each record with a literal."

E0708 "records-alike" Error "two records begin alike"
"Where several records may follow, the reader knows which one it sees by the text it begins with. If the first text of one record is the beginning of another's, a line can be read as either, and the controller may cut where a stop was meant.

Let them differ before their first field."

E0709 "field-without-end" Error "the end of a field cannot be found"
"A number, a text or a code that may have any width ends where a character comes that cannot be part of it. If the next part can continue the field, `12` and `5` may be read as `1` and `25`: two programs with the same bytes, and one of them bends steel.

Put a literal after the field that begins with a character it cannot hold; or give a number a width, quote a text, or refuse the character in it."

E0710 "list-without-end" Error "the items of a list cannot be told apart"
"After each stroke of a list the reader must see whether another one follows or the list is over. That needs a separator that is not empty, a literal after the list, and neither of them the beginning of the other."

E0711 "codes-alike" Error "two tools or words share a code"
"Codes are one to one. If two tools are written alike, the program does not say which of them fires, and nothing after it can find out: a swage lands where a hole was meant. Where tools are called by what they make, no two tools of the line may make what one code names: the controller would choose, and where it fires would not be proved."

E0712 "tool-without-code" Error "a tool of the line has no code"
"The description lists what the controller calls the tools, and this line has a tool that is not in the list. A member that needs it could be planned but not written. Tools keep the line's names only where the whole list is left out."

E0713 "code-not-writable" Error "a code cannot be written in this dialect"
"A tool's code stands in the program as it is. It must not be empty, must not hold a line end, and each of its characters must exist in the dialect's character set; inside a text format it must not hold a character that format refuses."

E0714 "literal-not-writable" Error "a fixed text cannot be written in this dialect"
"Literals, separators and escapes stand in the program as they are. Each of their characters must exist in the dialect's character set, and a line ends only where the dialect's own line end is meant: write `\\n` in a literal for it, whichever it is."

E0715 "text-format-ambiguous" Error "a text format can be read in two ways"
"In a text each character has one spelling. The character an escape begins with must not stand for itself, no escape may be the beginning of another one, each character has at most one escape, and the quote must be escaped or refused. Otherwise a mark can be read as another mark, and a crew looks for a stud that is not in the bundle."

E0716 "number-too-coarse" Error "a number format is coarser than the line's grid"
"The line stops at multiples of its increment. If the last decimal of an advance is wider than that, two stops that differ on the line look the same in the program, and holes land up to half a last decimal away from where they were proved to be.

Give the format more decimals or a smaller unit."

E0717 "relative-advance" Error "advances are given as steps that do not add up"
"A controller that is given steps adds them. A step that is rounded leaves an error that every later cut and stroke carries on: a tenth of a hundredth per stop is a millimetre after a thousand stops. Steps must therefore be exact on the line's grid, and the first of them starts at advance 0 after the head of the run."

E0718 "number-format-impossible" Error "a number format cannot write its numbers"
"The width has to hold the sign, at least one digit, the point and the decimals; there are at most nine decimals; a count has none; the point is `.` or `,`; padding needs a width. With what is described no number, or not every number, has a spelling."

E0719 "phases-said-twice" Error "phases are told in two ways, or not at all"
"Strokes of one phase fire together, phases one after the other. A dialect tells them apart either by a `phase` with each stroke, or by a `wait` record after the strokes of each phase, and `release` records after that. With both, a damaged program could say two different things; a release without a wait, or a wait after a list, belongs to no stroke.

With `wait`: strokes on lines of their own, without `phase`."

E0720 "tools-named-twice" Error "tools are named in two ways"
"A dialect calls tools as the line does, or by the codes of its table `[tools]`, or by their place in the line's file, counted from `tool-numbers-from`, or by what they make, with a `[[feature]]` for each type. In two ways at once two tools could be called the same."

E0721 "fires-another-way" Error "the controller fires strokes of a stop another way than the line"
"Planning gives each stop the strokes that the line can fire there: all at one moment where its file says `firing = \"at-once\"`, else one phase after the other where tools clash, one must follow another over the same piece, or a press has not the force for both. A controller at member level decides itself, as its model says under `ties`. If it fired together what has to fire in turn, or in turn what the line only does together, what is made would not be what was planned, and a press could stall on two tools."

E0722 "file-name-pattern" Error "programs cannot be called by this name"
"Under `[files]` a dialect says what the files of its programs are called: plain text (letters, digits, `-`, `_`) and in braces what a run has: `{program}`, `{batch}`, `{run}`, `{coil}`, `{profile}`, `{part}`. Two programs of one batch need two names, and so do the files of a run that the limits on a file split. Other characters are not taken by every system and memory card."

E0730 "text-not-writable" Error "a text holds a character this controller cannot take"
"Names and mark texts go into the program as they are. A character outside the dialect's set, or one that its text format refuses, would reach the controller as another one or end the field early; the mark on the steel would not be the mark on the drawing.

Nothing is replaced silently. Change the name, or describe an escape for the character if the controller knows one."

E0731 "number-too-wide" Error "a number does not fit its format"
"The format has an exact width, or no sign, and this number needs more. A controller that cuts off the first digit feeds to the wrong place. Coilwright writes no advance beyond 100 km either."

E0732 "line-too-long" Error "a line is longer than the controller takes"
"The dialect states how many bytes a line may have. A controller that cuts off the rest of a line loses strokes without a word."

E0733 "field-too-long" Error "a field is longer than the controller takes"
"The dialect states how many bytes a field may have. A controller that cuts off the rest of a name or a mark makes two marks the same."

E0734 "not-in-this-dialect" Error "the program holds something the dialect has no words for"
"A stop that fires nothing, a tool that is not on this line, an advance between two numbers the format can write: none of them comes from a plan that was made for this line. Nothing is written."

E0735 "does-not-read-back" Error "what was written reads back as something else"
"Each program is read back from its own bytes right after it is written, and must come back the same. It did not, so the description, or Coilwright, has a fault, and the bytes are thrown away. Report it with the dialect and the batch: no such program reaches a machine."

E0736 "too-long-for-a-file" Error "a run does not fit the files its controller takes"
"Where a dialect limits the pieces, lines or bytes of a file, a longer run is split: each file ends at a cut at which no text is half printed, and the next one goes on from there. Not even the records up to the next such cut fit here. At member level a run can be split only where no stroke for a later member comes before the cut, for a list of members cannot say such a stroke without its member.

Correct the limits, or make shorter runs: fewer members in a batch."

E0738 "no-member-says-it" Error "a program holds something that no list of members says"
"A controller at member level is given lengths, one after the other along the strip, and what is made on each. What does not lie on one of them cannot be told: a stroke on strip behind the last cut, scrap where the dialect has no record for it, two texts on a member with one place for them, a cut on a slope that no field says.

Describe what is missing, or compile for a dialect at stop level. Nothing is written."

E0739 "file-name-not-possible" Error "a program's file cannot be called so"
"The name that the dialect gives this program's file is longer than the controller takes, is kept for a device on some systems, or is another program's already (capitals are no difference on a memory card). Nothing is shortened silently: a program under another's name is run in its place."

E0750 "unknown-record" Error "a line begins like no record of the dialect"
"Each line of a program begins with the fixed text of one of the records that may follow at this place. This one does not: the file was edited, damaged, cut short in the middle, or is in another dialect.

Compile again instead of repairing it by hand; an edited program is not proved."

E0751 "unexpected-text" Error "a line is not written the way the dialect writes it"
"Between the fields of a record stand fixed texts, to the byte. Something else stands here: an added blank, a letter, another field. The file was edited or damaged, or is in another dialect."

E0752 "number-misspelled" Error "a number is not spelled the way the dialect spells it"
"Each number has exactly one spelling: no leading zeros or blanks beyond its width, no plus sign, no minus before zero, no decimals more or fewer than the format says, and none that lies between two values it can stand for. Another spelling means that something else than Coilwright wrote it."

E0753 "text-misspelled" Error "a text is not spelled the way the dialect spells it"
"In a text each character has exactly one spelling: itself, or its escape. A control character, an escape that is not described, or an escape for a character that needs none means that something else than Coilwright wrote it."

E0754 "unknown-code" Error "a code that no tool of this line has"
"The program fires a tool by a code that this dialect does not give to any tool of this line. It is for another line or another state of the dialect, or it was edited or damaged."

E0755 "truncated-program" Error "a program ends before its end record"
"The last line of a program is its end record, with its line end. Without it part of the file is missing: a copy that broke off, a full memory card. A controller that runs it stops in the middle of a member.

Copy the file again."

E0756 "text-after-the-end" Error "something follows the end of the program"
"After the end record comes nothing, not even an empty line. Two programs joined into one file, or remains of a longer file that was overwritten, would run on after the proved end."

E0757 "wrong-line-end" Error "a line ends another way than the dialect's lines end"
"The dialect ends its lines either with a line feed or with carriage return and line feed. The file was carried through a program that changes line ends, such as an editor or a transfer in text mode, and is no longer what was proved, byte for byte."

E0758 "wrong-characters" Error "a program holds bytes outside its character set"
"The dialect says in which character set its programs are written, and a byte here has no meaning in it. The file was damaged, or saved again in another character set."

E0759 "not-what-the-line-needs" Error "a program says something else than what the line decides"
"Times that a program states (`dwell`, `settle`) are worked out from the line's description, and a release names the tool that was fired. At member level the features of a member stand in one order, and members that are alike in one record. Here stands another figure, tool or order: the program was edited or damaged, or is for another state of the line."

E0760 "parts-of-a-run" Error "the files of a run do not belong together"
"A run that is longer than its controller takes lies in several files. Their identities are the run's with a number behind a point, and each begins where the one before ends. Here one is of another run, another batch or coil, or stands in another's place: it was exchanged, or copied over another."

E0761 "program-listed-as-another" Error "a program says it is another than it is listed as"
"Each program carries its identity, its batch, its profile and its coil, and the manifest and the run sheet of the folder list them too. Before a run the operator compares the id on the controller's screen with the run sheet. Here a file of the folder says something else than is listed of it: it was copied over another, or edited, or the list was. What it makes may be right all the same, and is judged apart; but by its name it would be taken for another program, or another for it.

Restore the file as it was written, or compile again."
}
