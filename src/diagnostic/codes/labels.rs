super::codes! {
E1201 "drawing-nothing-picked" Error "no member is as the command asks for"
"`draw` takes the members of the job, frame and mark that are named, all of them where it says `--all`. None is called so. Marks and frames are written as on the drawing, capital letters too; a mark may be in several frames, and is then drawn for each that differs."

E1202 "drawing-several-in-a-file" Error "several drawings do not go into one file"
"Members that are alike share one drawing; members that differ have one each, so that a drawing falls on the part it is of. What is picked here comes to several drawings, and `--out` names a single file. Name a folder that is not there yet, or pick one member by `--frame` and `--mark`."

E1211 "label-paper" Error "a layout of labels is not on one kind of paper"
"Labels are on sheets, with rows below each other, or on a roll, one row after the other. Which it is decides where the next label lies; a layout that says both, or neither, would print beside the labels. Describe the one you have: [sheet] or [roll]."

E1212 "labels-off-the-page" Error "the labels of a layout do not fit on its paper"
"Margins, labels and gaps together are more than the paper has. Labels at its edge would be cut off, and those before them may stand a little off theirs. Measure a sheet with a ruler: the margin to the first label, one label, the gap to the next; then count."

E1213 "label-too-small" Error "a label has no room for what has to stand on it"
"A member's label has five short lines and perhaps a code; a bundle's ticket has a list besides. Inside its insets the label leaves no room for them in letters that can be read. Take larger labels, a smaller code or inset, or leave the code out."

E1214 "label-start" Error "there is no such place on a sheet to start at"
"`--start-at` says which label of the first sheet is the first that is still there, counted along the rows from the upper left. It is beyond the last label of the sheet, or below 1."

W1215 "label-text-shortened" Warning "a text on a label is too long for it"
"It was set in the least letters the layout allows, on as many lines as have room, and what still did not fit stands as `…`. The code and the CSV have it whole. Give the name fewer letters, the layout smaller ones, or take larger labels."

W1216 "label-code-left-out" Warning "a code is left off a label: it would be too fine to be read"
"A QR code grows with the text in it, and the side the layout gives it is divided among more and smaller squares. Below 0.3 mm a square (common practice, no source) office printers and telephones do not part them. The label is printed without; give it a larger code, or the job, frame and mark shorter names."

W1217 "ticket-list-cut" Warning "a bundle's ticket has no room for all of its list"
"The list is set in the least letters the layout allows, and its last line says how many marks are left out. The pieces are counted all the same, and the CSV has the whole list. Take larger tickets."

E1218 "labels-of-nothing" Error "there is nothing to label"
"Labels are made for pieces that a plan makes. This one makes none: every piece of the batch is done already, or there is no strip for any."

W1219 "labels-table-without-sheet" Warning "where labels go on a sheet is said, and a table has none"
"Labels as CSV are rows for a label printer or its program, which sets them itself: sheets, layouts and the first label that is still there are its business. `--start-at` and `--layout` say how a PDF is laid out; with a name that ends in .csv nothing comes of them. The table is whole all the same. Say it to what prints the labels, or have a PDF written."
}
