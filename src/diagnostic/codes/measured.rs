super::codes! {
E0951 "taped-piece-unknown" Error "a piece was taped that the output folder does not make"
"`first-off` looks up each taped piece in the output folder the file names: by its serial, or by job, frame, copy and mark. It is not among the pieces of any program there, so it cannot be said where its holes and cuts were meant to be. The number was misread, or the readings belong to another batch.

The serial of each piece is on the run sheet and in marks.csv."

E0952 "taped-unclear" Error "it is not said clearly what was taped"
"Each piece is named once, by `serial` or by `frame` and `mark`; each feature once, by `which` or by where it is `drawn`; a range is read to its near or far edge, an end shape to its inner edge; and somebody signs for the readings. A reading put down to the wrong piece or the wrong hole would move a station that stands right."

E0953 "taped-feature-unknown" Error "a feature was taped that this piece does not have"
"No feature of this type is drawn on the piece at the place given, or no stroke of the program makes it. The reading belongs to another piece, another type, or was counted from the other end.

`drawn` is counted as the tape is read: from the same end, to the same point."

E0954 "taped-two-ways" Error "a reading could belong to more than one piece or station"
"Several pieces bear this name, or different stations make this feature on different faces. The correction would go to whichever came first. Say the serial, or the face."

E0955 "taped-cannot-tell" Error "the readings cannot tell the causes apart"
"A piece that is too long may come from the strip (the error grows with the length), or from the cut (the same on every piece). A hole that is off may come from its station, from the strip or from the cut before it. Each cause needs readings in which it shows differently: pieces of clearly different lengths, and on each the first and the last feature of each type.

Nothing is proposed from readings that leave it open: the calibration would be right for the piece on the bench and wrong for the next."

E0956 "taped-unchecked" Error "no reading checks another"
"There are just as many readings as there are causes to find, so any figures at all would fit, and one misread by 10 mm would go straight into the calibration. At least one reading more is needed for every cause: tape another piece, or both the first and the last feature of each type."

W0957 "taped-once" Warning "a station or profile is left as it is, because nothing checks its reading"
"All that is known of it hangs on a single reading, and a misreading would not show. Its correction stays as it is; the others are judged without it. Tape the feature on another piece as well."

E0958 "taped-blunder" Error "a reading does not agree with the others"
"The most likely calibration was worked out from all readings, and this one is still off by more than three times what tape and line allow. It was misread, put down to the wrong hole or piece, or taken from the wrong end; or the piece was damaged or made after a slip. Where several readings are named, it is one of them: they differ from each other and nothing says which is right.

Tape it again. Nothing is proposed from readings that contradict each other. Common practice in adjusting measurements, no source: one reading at a time, the worst first."

E0959 "taped-not-attributed" Error "the pieces are off, and it cannot be said by what"
"Taken together the readings say that the pieces are not as they should be, but for no single cause is it certain that it has a share: two causes look so alike in these readings that either could be the one. Changing one of them by guess would be right for these pieces only. Tape pieces that differ more in length, and features nearer to both ends."

E0960 "taped-before-calibration" Error "the pieces were taped before the calibration they were made with"
"The date of the readings lies before the date of the calibration in the output folder. One of the two is wrong; papers show the date of the calibration, and the newest counts. Correct the date, or name the folder that was really run."

E0961 "taped-too-far" Error "a correction that large is no calibration"
"The readings ask for a change of the strip by more than 5 percent, or of a station by more than 100 mm. The folder, the profile or a unit is wrong, or the line's description is: measure the station's distance from the shear and correct the line file."

E0962 "calibration-file-exists" Error "a file stands where the calibration is to be written"
"A calibration is dated and kept: papers refer to it, and programs were made with it. `first-off` never writes over a file. Give a name that is free, such as one with the date in it. If the file already holds exactly this proposal, nothing is wrong and nothing is written."

W0963 "cut-not-as-stated" Warning "the cut takes more or less than the line file says"
"Every piece is off by about the same, whatever its length: the shear's slug is not what the line file states, or the cut does not stand where the advance says. No calibration corrects that. Measure the slug, look at the blade and its stop, and correct `slug` in the line file."

W0968 "encoder-not-to-scale" Warning "the encoder counts more or less than passes it"
"Every piece is off in proportion to its length, and the line's encoder runs on the formed section: lengths are counted as they will be, whatever forming does to the strip. What is off is the encoder's own scale, its wheel or its factor in the controller. No calibration of programs corrects that."

E0964 "halt-unclear" Error "it is not said clearly how far the run has come"
"To compile only what is not begun, `first-off --rest` has to know the last good piece on the run-out table, and whether anybody can say where the strip stands. Pieces upstream of the shear already bear strokes: finished from a wrong place they would get the rest of their holes beside the right ones.

The position is kept only where the line stopped right after that cut and nothing moved, fired or was opened since. After an emergency stop, an opened guard or an unknown stroke it is lost: make a fresh cut by hand; what bears strokes is passed as scrap. That is the rule when nothing is said."

E0965 "halt-piece-unknown" Error "the run cannot have come as far as that"
"The serial after which the line stands, or one of a piece to be made again, is not among the pieces that have dropped by then. The run sheet and marks.csv list serials in the order they drop. A piece that has not dropped is not made again but made."

E0966 "rest-is-nothing" Error "nothing is left to be compiled"
"Every piece of the folder is cut, or so far begun that it is finished as it was. A new calibration is for the next batch."

E0967 "rest-not-made" Error "the rest of the run cannot be put into files"
"The batch and the stock that were stored with the run are written anew for what is left of it: with the calibration, the list of pieces that are done, and the coils as they are now. That failed, which is a fault of this program: report it with the folder. Nothing was written."

E0970 "log-line-unknown" Error "a line of the log is not described"
"The description of a controller's log says how each kind of line begins, and which lines say nothing about what was made (`ignore`). This line begins like none of them. It may be a piece that was made, a stop, or an alarm: until somebody says which, the log says nothing certain.

Describe the line, or list what it begins with under `ignore`."

E0971 "log-line-unreadable" Error "a line of the log is not as it is described"
"The line begins like one that is described, and goes on another way: a value that is no number, a text that is missing, more than there should be. Or it is the last line and has no line end: the controller was stopped while it wrote, and what stands there may be half a number.

Correct the description, or take the log from the controller again."

E0972 "log-of-another-program" Error "the log tells of another program"
"A log is followed from where the folder's first program was started, program by program in the order of the run sheet. This line starts a program that the folder does not hold, one that is not next, or one that was started before; or something happens before any program was started. Which strip bears which strokes cannot be said from such a log.

A run that lies in several files is several programs, each with the run's name and a number behind it (`KP28-01.2`). A log that names files instead is described with `{ field = \"file\", … }`.

Give the whole log of this folder's run and nothing else, or count the pieces and write `after`."

E0973 "log-contradicts-program" Error "the log and the program disagree on what was made"
"Each piece of the log is held against the next cut of the program: its serial, how many there are, where the strip stood. Here the log has another piece, one more than is programmed, one that is rejected and never dropped, or a program that is over before all its pieces are made. Either the machine did something that nobody programmed, or the log is not of this program.

Look at the run-out table, count, and write `after`."

E0974 "log-stands-elsewhere" Error "log and file disagree on where the line stands"
"The file says which piece dropped last, or that the strip stands right after its cut (`position = \"kept\"`), and the controller's log says something else. Strokes that finish what is begun are counted from there: from the wrong place every one of them comes down beside its own.

Where they disagree the position counts as lost: write `position = \"lost\"`, or correct `after`."

E0975 "log-of-nothing" Error "no piece has dropped by the log"
"The rest of a run is compiled from the last good piece on. By this log the run was stopped before its first piece dropped, or the log is empty.

Take the coil off and compile the batch again; or name the log of the run that was stopped."
}
