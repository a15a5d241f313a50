super::codes! {
E0901 "no-such-file" Error "a file that is named does not exist"
"A batch names its members files, line, stock and library; a members file may include others. One of these names leads nowhere, so what would be made is not what was meant.

Names are relative to the folder of the file that names them."

E0902 "folder-for-file" Error "a folder stands where a file is needed"
"The name given leads to a folder. Coilwright reads single files, each named, so that a stray file in a folder never ends up on a coil."

E0903 "file-too-large" Error "an input file is larger than 1 GiB"
"Places in a file are counted in 32 bits. A members file of this size is almost always a wrong file; split a real one and include the parts."

E0904 "unreadable-file" Error "a file cannot be read"
"The operating system refused to give the file's content. Nothing is made from half of the inputs."

E0905 "not-utf-8" Error "a file is not UTF-8 text"
"Inputs are UTF-8 text, with or without a byte order mark, their lines ended by LF or CR LF; those of a list also by CR alone. A file in an old code page would turn the letters of marks into others, and a crew would look for marks that are not there. Save it as UTF-8. Of a list the map may say what it is written in: `characters = \"windows-1252\"`, `\"iso-8859-1\"` or `\"utf-16\"` in [table]."

E0906 "output-unwritable" Error "the output cannot be written"
"Programs, papers and manifest are first written into a hidden folder beside the output folder, and take its name only when all of them are on the disk. Something in that failed: the folder is write-protected, the disk is full, or a path is not what it seems.

Nothing was left behind: what stood at the output path before still stands there, and no half of a batch can be loaded into a controller by mistake."

E0907 "output-foreign" Error "something that is not ours stands at the output path"
"Coilwright replaces an output folder only when it wrote that folder itself and nothing in it has been touched since: its manifest lists every file with its hash, every file still hashes as listed, and nothing else lies inside.

A folder that holds anything more may hold somebody's notes, a log, or a program edited on the floor. Give another name with --out, or look at the folder and remove it yourself."

E0908 "output-not-a-folder" Error "the output path is not a folder"
"The output of a compile is a folder with programs, papers, inputs and a manifest. A file, or a link that leads nowhere, stands at the path given. Give the name of a folder that is not there yet."

E0909 "output-over-inputs" Error "the output would replace something it was made from"
"The output folder is replaced as a whole. An input of this batch, or the folder this command was started in, lies inside it and would go with it. Write the output beside the inputs or anywhere else."

E0910 "interrupted" Error "stopped before it was done"
"Somebody asked the program to stop. An output folder appears whole or not at all, and one that was there before is unchanged; of files to be rewritten, those not yet reached are as they were."

E0911 "not-an-output-folder" Error "this folder has no manifest of ours"
"`verify` works on a folder written by `compile`. Its manifest.json lists every file with its hash and every record block of every program. The manifest is missing, is of a version this program does not read, or cannot be read as one.

Without it there is nothing to compare the files with. Compile again from the inputs."

E0912 "file-changed" Error "a file is not the one that was written"
"The hash of a file differs from the one its manifest lists. In a program the record blocks that changed are named: a block is everything from after one cut to the next.

A changed program was not replayed when it was written. Whether its products would still be right is judged separately and said below; the safe answer on the floor is to load the program of a fresh compile."

E0913 "file-missing" Error "a file that the manifest lists is not there"
"Part of the output folder has been removed. Papers and programs of a batch belong together: a run sheet without its program, or the other way round, invites loading yesterday's."

E0914 "file-extra" Error "a file the manifest does not list lies in the output folder"
"Nothing but what was written and proved together should lie in an output folder. A stray program in it was never replayed and could be loaded by mistake."

E0915 "manifest-changed" Error "the manifest itself has been changed"
"The manifest carries a hash over its own content, and is written in one exact spelling. This one was edited or damaged, so what it says about the other files cannot be relied upon. Compile again from the inputs."

E0916 "not-utf-8-name" Error "a file name is not UTF-8 text"
"Names of files go into papers and the manifest, which are UTF-8. Give the file a name in letters that can be printed there."

E0917 "fmt-would-change" Error "a members file is not in its canonical form"
"`fmt --check` only looks. Run `fmt` without --check to rewrite the file: the meaning stays, comments stay, only spaces, line breaks and spelling of units settle into one form, so that two revisions differ only where the members do."

E0918 "pieces-not-wanted" Error "the programs do not make the pieces the members ask for"
"`verify` reads the members again from the output folder and compares what they ask for with the pieces the manifest lists: each wanted piece exactly once, nothing else. They differ, so members were added, removed or renamed among the stored inputs after the programs were made."

E0919 "wrong-kind-of-file" Error "a file of another kind than the one wanted"
"A members file stands where TOML is needed, a stock file where the line is, a table of values or a binary file where either should be: names were exchanged, or a file was saved over another. It is told once, in place of a page of findings about lines that were never meant for this.

Name the right file, or put the right text into this one. Members are written in the member language, everything else in TOML; a table of values from a spreadsheet is neither."

E0920 "rest-goes-on-elsewhere" Error "the rest of a batch does not go on from where it was stopped"
"A folder that `first-off --rest` wrote holds the folder that was run before, and says after which piece it was stopped. `verify` works out again what was cut, begun and left, and judges the program that finishes what was begun on the strip as the old one left it. List of pieces, coils or program are not what comes of that: together the folders would make a piece twice, or not at all. Compile the rest again."

E0921 "bound-not-proved-again" Error "a bound in the report was not proved again"
"The report says how little strip any plan uses, with a certificate for each bound. `verify` makes the cutting problem anew from the stored inputs and from the coils as the replayed programs leave them, has the certificate checked by code that knows nothing of planning, and counts again what the programs use. One of these differs: the products are judged apart from it, but what the papers say about scrap does not stand."

E0922 "starter-not-empty" Error "a starter folder is wanted where something lies already"
"`new` writes a whole small shop: batch, members, line, calibration, rack, library, controller. In a folder that holds anything its files would stand among files of somebody else's, or in their place, and a batch would be compiled with a line that is half one shop's and half another's. Name a folder that is not there yet, or an empty one; nothing was written."

E0923 "no-such-setting" Error "a setting is asked for that a batch does not have"
"`config show` lists every setting of a batch, its line, rack, library and controller, with the file and line that says so. Keys are those of the files, behind the kind of file: `line.feed.speed`, `stock.coil.K-1.length`; those of the batch stand alone. A key may be cut short: `line.feed` shows all below it."

W0924 "letter-not-in-font" Warning "a paper's font does not have a letter"
"Papers in PDF are set in one font that is embedded in them, letter after letter from left to right. It has Latin, Greek, Cyrillic, Armenian and Georgian letters and most signs. A name holds a letter it does not have, or one of a script that is written otherwise: from right to left, with accents apart from their letters, or with letters that change beside each other.

On PDF such a letter stands as its Unicode number in brackets, so that two marks that differ still differ. Programs, HTML, CSV and Markdown have the name as it is; what the line's marker can print is another question, and the dialect answers it."

E0925 "nothing-made" Error "nothing was made, and no mistake was found"
"A command ended without what it was asked for, and nothing it had read was found wrong. That must not happen: whatever keeps a file from being read or a plan from being made is told at its place. It is a fault of Coilwright's, not of the shop's files, and the command ends with exit code 2, so that no script takes it for done.

Report it with the files the command was given."
}
