super::codes! {
E1101 "exchange-form-unknown" Error "it cannot be told how a file is written"
"Files are read by the ending of their name: .csv, .tsv or .txt for lists, .json for members as JSON, .ifc for IFC, .nc or .nc1 for DSTV NC. A file of any other ending says nothing about itself, and guessing would read a list as something it is not. Name the form with `--form`, or give the file its usual ending."

E1102 "exchange-unwritable-text" Error "a name or title cannot be written as members text"
"Names, titles and mark texts stand in quotation marks, on one line, and are printed on papers and pieces. A quotation mark inside one, or a character that does not show, cannot be told from what stands around it. Rename it in the drawing or the list, and import again; nothing was written."

E1103 "exchange-map-wanting" Error "the map does not say what is needed to read this file"
"A map says how a drawing office's file is to be read: which columns hold mark, length and profile, in which unit, and which feature types its codes stand for. Nothing is guessed: a column taken for another would put holes in the wrong place, on every piece. `coilwright schema map` prints every key."

E1104 "exchange-nothing-found" Error "there are no members in a file"
"The file was read to its end and holds no member at all. It is another file than was meant, an export of another view, or its map leaves everything out. An empty members file would be no help to anybody, so none is written."

E1105 "exchange-output-changed" Error "something stands where the output is to go, and would be lost"
"No command writes over work of somebody's hands. `import` writes its members file anew each time, and puts a hash of its text at the head, so that it can tell whether anybody has changed it since: one that was changed, or was never written by `import`, stays as it is. Put the changes into the list or the map, delete the file and import again; or give another name.

`export` writes its file only where none is, or where one holds the same already; NC files, and drawings of `draw` for which a folder is named, go into a folder that is not there yet. What stands there may be an older export, or one that was mended by hand for another program: the command cannot know. Look at it, move it away, or give another name after --out."

E1106 "exchange-names-alike" Error "two files to be imported have the same name"
"Each member keeps the name of the file and the row it was read from, so that a later finding leads back to the list. Two files of one name in different folders would be taken for each other, and somebody would mend the wrong one. Rename one, or import each into a members file of its own."

E1107 "exchange-files-disagree" Error "two files of one import say different things"
"Several files make one job, and a frame may be spread over them. What they say of the job (its name, title and revision) and of a frame (its kind, title and quantity) has to agree: taking the first would make a frame three times or once as the files happen to be named, or put parts of one order into another. A list and an NC file know no quantity of frames and mean one of each. Correct the file that is wrong, or import each into a members file of its own; which job it is the map may say for all of them, in [job]."

E1111 "csv-column-missing" Error "a column that the map names is not in the list"
"The line with the columns' names has none of this name. The drawing office has renamed it, the wrong line was taken for the names (`header-line`), or the separator is another. Capital and small letters count as alike; blanks around a name do not count."

E1112 "csv-column-unmapped" Error "the list has a column that the map says nothing about"
"Every column is either used or put aside by name, in `ignore`: a column that was added to the list last week may hold the very holes that are missing now, and nobody would see it. Add it to the map, or to `ignore` in `[columns]`."

E1113 "csv-code-unknown" Error "the map does not know a code of the list"
"The map has a table from the drawing office's codes to feature types, profiles, usages and kinds of frame. This code is not in it. A member without its feature, or on another profile, does not fit on site; so nothing is written until the code is known or put aside with `leave-out = true`."

E1114 "csv-cell-empty" Error "a cell that is needed is empty"
"A member needs its mark, its profile and its length, a feature its place. The cell is empty, and what stood in the row above may be meant or may not: nothing is taken from there."

E1115 "csv-figure" Error "a cell holds no figure that can be read"
"A length is digits with one decimal sign, the one the map names, and perhaps a unit: 2396, 2396.5, 2396,5, 7 ft 10-3/8 in. Marks as printers set them, fractions of one sign (½) and units in capitals are read; inches behind feet need no mark. Signs that part thousands are refused, blanks among them: 2.396 is two millimetres or two metres, as one reads it, and both have been cut. So are exponents, twelve inches and more behind feet, and a fraction behind a decimal figure."

E1116 "csv-row-width" Error "a row has more or fewer cells than there are columns"
"Every cell after the slip would be taken for its neighbour: a hole's place for its diameter. Mostly a separator stands inside a text without quotation marks, or a decimal comma in a list that is parted by commas."

E1117 "csv-mixed-units" Error "a figure is in another unit than its list or column"
"`unit` in [table] of the map is the unit of every figure that says none, and this cell says another; or, where the map names no unit, a column has figures in millimetres and figures in inches. One of the two is wrong, and if it is the map, then so is every other figure. Correct the list. Where a list really mixes units, write `mixed-units = true` in [table]: what each cell says then counts, and the answer says how many say another unit and where the first is."

E1118 "csv-rows-disagree" Error "two rows of one member say different things about it"
"With a feature in each row a member has many rows, and each repeats what the member is. Here they differ: one of them belongs to another member, or was not changed with the others. Cells that are left empty after the member's first row are no difference."

E1119 "csv-mark-twice" Error "a mark is twice in a frame of the list"
"With one row for each member no mark may come twice in a frame: the crew takes the first part that bears it. If the list has a row for each feature, say `rows = \"feature\"` in `[table]`; if two members really are alike, give them one row and a quantity. In a list of features a further row of a member has to say a feature of it; where it says none, somebody may have meant another piece."

E1120 "csv-unclosed-quote" Error "a quotation mark is opened in the list and not closed"
"Everything after it was read as one cell, to the end of the file. A cell in quotation marks ends with one; a quotation mark inside such a cell is written twice, as in \"3 1/2\"\" hole\"."

E1121 "csv-entry-form" Error "an entry in a cell is not written as the map says"
"Several features in one cell are parted by the map's `between`, and each is written as its `form` says, such as {code}@{at}. This one is not, so it cannot be said which of its parts is the code and which the place."

E1122 "csv-column-twice" Error "two columns of the list have the same name"
"A map finds columns by their names, and would take the first of these for both. Rename one in the list's export."

E1123 "csv-end-twice" Error "an end is shaped twice in the same way"
"What shapes an end stands twice in the row or rows of this member: the tool would come down a second time into its own cut, or the second was meant for the other end, and the map's `ends` says otherwise. Neither is left out silently."

E1131 "json-not-members" Error "a JSON file is not members in this program's form"
"Members as JSON follow a schema that `coilwright schema members` prints and `export --form json` writes. A key that is not in it is refused and not skipped: it may be the one with the holes. Sizes are text with their unit, such as \"2396 mm\"."

E1132 "json-without-meaning" Error "something in JSON members means nothing"
"The file is JSON in the right form, and what stands here cannot be made: a width without the length it goes with, a tolerance below nought, a feature placed in two ways, a form of a later version. Nothing of it is left out or guessed: what was meant may be the hole that is missing then."

E1141 "step-unreadable" Error "a STEP file cannot be read"
"An IFC model is a STEP file, ISO 10303-21 in clear text: it begins with ISO-10303-21; and consists of numbered instances such as #12=IFCMEMBER(…);. Where one cannot be read, what refers to it cannot be trusted either, so nothing is taken. Spacing, comments, and strings in any of the standard's escapes are read."

E1142 "step-cut-short" Error "a STEP file ends before its end"
"A STEP file ends with END-ISO-10303-21;. This one stops before: a copy or an export that was broken off. Members may be missing from it, or the openings of members that are there, and nothing in what is left says so."

E1143 "step-reference-missing" Error "an instance refers to another that is not in the file"
"A model is a net of numbered instances. One that a member depends on (its placement, its profile, its openings) is not there, so the member cannot be known. The file was edited, merged or cut."

E1144 "ifc-schema" Error "a model follows a schema that is not read"
"The header of a model says which edition of IFC it follows. Editions order the parameters of members and profiles differently, and reading one as another would take a width for a thickness. IFC4 and IFC4X3 are read; most programs export either."

E1145 "ifc-units" Error "a model does not declare its unit of length"
"Lengths in a model are bare numbers; the unit assignment of its IfcProject says what they are in. Without it 2396 may be millimetres or thousandths of an inch, and nothing is guessed."

E1146 "ifc-element-left" Error "a model has elements that are neither members nor put aside"
"Members are read from IfcMember, IfcBeam, IfcColumn and IfcPlate. The model holds elements of another class, and whether something that should be rolled is among them only a person can say. Put the class aside by name, `leave-out` in [ifc] of the map; the answer lists how many there were."

E1147 "ifc-member-geometry" Error "a member's shape in a model is not understood"
"A member is read from one straight extrusion of its section. Planes may cut its ends, square to the web, one at each end. Bodies made of faces, cut otherwise, bent, or put together from several parts do not say length, section and openings in figures. Export the member as an extrusion with openings, or write it by hand."

E1148 "ifc-profile" Error "a member's section in a model is no profile of the library"
"The section's form and sizes, out to out, are compared with the profiles of the shop's library, to a tenth of a millimetre. None agrees, or the map names one that is of another size. A member of another section does not nest in its neighbours. Sections are read from IfcCShapeProfileDef, IfcUShapeProfileDef and from outlines of one thickness in right angles."

E1149 "ifc-opening" Error "an opening in a member stands for no feature type"
"Openings are known by their size, or by their name where the map's codes or the library have it. This one is of a size that no [[opening]] of the map has, or lies so that it cannot be said on which face it is: askew, through no face, only part of the way through the steel, or along inside it. A hole that is left out is found on site."

W1150 "ifc-openings-changed" Warning "openings were changed since this program wrote the model"
"A model that `export` wrote carries for each member what members text says of it, with a list of its openings. The openings that are drawn now are others: somebody changed them since, and what is drawn counts: place, size, outline and name, each compared with the library. Features that are not drawn as openings (pressed ones) and tolerances are taken as they were written; look at them."

E1151 "ifc-own-words-lost" Error "what this program wrote into a model cannot be read any more"
"A model that `export` wrote carries beside each member what a model has no words for: pressed features, tolerances, datums; and beside the project the waivers. The texts stand in properties of 255 letters at most, with their number and a check. Here one is missing, cut or changed, or the set belongs to nothing any more. Read from its drawing alone the member would be made without its dimples and swages. Export the model again, and have texts kept whole on the way. If drawn openings are really all that is wanted, say `geometry-only = true` in [ifc] of the map; the answer then counts what was passed over."

E1152 "ifc-opening-outside" Error "an opening lies partly or wholly beyond its member"
"An opening is drawn over the end of its member, or over one edge of its face. Somebody moved it, or shortened the member and left it where it was. The line could make only a part of it, or none, and what was meant is not in the drawing. An opening wider than its face that goes over both edges is taken for one over the whole face."

E1153 "ifc-opening-at-no-end" Error "an opening that shapes an end lies at none"
"A type that shapes an end is made at the end, wherever it is drawn: its place is the end itself. This opening is drawn somewhere else on the member, by more than the type's tolerance. Made at the end it would be a cut nobody drew, and the one that is drawn would be missing. Move it, or let it stand for a type that lies along the member."

E1154 "ifc-opening-size" Error "an opening is drawn in another size or outline than what it stands for"
"The opening bears the name of a feature type, or a name that the map's codes have, and the library (or the code) fixes a size that is not the drawn one, or another outline: a slot is no rectangle, and a circle is neither. The line makes the type in its own size, so the piece would not be as it is drawn. Where the type leaves a size open, the drawn one is taken."

W1155 "ifc-own-words-gone" Warning "a part of what this program wrote into a model is gone"
"The model comes from `export`, and some of what it carried beside the drawing is there and some is not: a member without its set among others that have one, or the project without its waivers. Members that were added since have none, and that is right; a copy may have lost what it had. Pressed features, tolerances and waivers are not drawn: look at them."

E1156 "ifc-two-assemblies" Error "a member is part of two assemblies"
"An assembly is a frame, and a member is wanted in the frame it is part of. This one is part of two: the model does not say for which it is to be made, or whether for both. Leave it in one of them; or draw it twice, if it is wanted twice."

W1157 "ifc-drawn-twice" Warning "a member is drawn twice in one place, or under one identifier"
"Two members of one mark lie in the same place, or two bear one identifier (GlobalId), of which there is one for each thing. Mostly a copy was left lying in its original, or two exports were put together. Each is counted as a piece to make, and the second would be left over."

E1161 "nc-unreadable" Error "an NC file cannot be read"
"A DSTV NC file holds one part: ST, 24 lines about it, blocks such as BO with its holes, and EN. A line that does not fit makes the whole part doubtful, for every later line is known by its place."

E1162 "nc-not-a-member" Error "an NC file holds a part that is not made from coil"
"Channels have the profile codes C and U. Plates, angles, tubes and rolled sections are not formed on the line."

E1163 "nc-block" Error "an NC file holds something that is not understood"
"Outlines with notches, bends, cuts in space and turned openings change the part, and a part without them does not fit. Read are holes and slots (BO), openings that are circles, slots and rectangles (IK), outlines whose ends are square or slope across the web (AK), and one sign (SI). Lines and points to set other parts by, tolerances and threads can be put aside by the map, with `leave-out` in [nc]. Otherwise take the part out, or draw it as a member."

E1171 "export-undecided" Error "it is not said what becomes of a feature type in this format"
"A format of open standard knows holes. Whether a feature type takes steel away, presses it, or cannot be shown at all is the shop's knowledge: a dimple written as a hole would be drilled. Name each type in `--cut` or in `--pressed`; what the format cannot carry goes into `--leave-out`, and the answer lists it."

E1172 "export-cannot-say" Error "a member cannot be said in this format"
"The format has no words for something this member has: a feature on a lip, an outline it cannot draw, a slope that its figures cannot tell, a text it has no characters for. A part that lacks it would be made wrong by whoever reads the file. Leave the feature type or the frame out by name, or choose a format that carries it."
}
