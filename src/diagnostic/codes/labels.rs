super::codes! {
E1201 "drawing-nothing-picked" Error "no member is as the command asks for"
"`draw` takes the members of the job, frame and mark that are named, all of them where it says `--all`. None is called so. Marks and frames are written as on the drawing, capital letters too; a mark may be in several frames, and is then drawn for each that differs."

E1202 "drawing-several-in-a-file" Error "several drawings do not go into one file"
"Members that are alike share one drawing; members that differ have one each, so that a drawing falls on the part it is of. What is picked here comes to several drawings, and `--out` names a single file. Name a folder that is not there yet, or pick one member by `--frame` and `--mark`."
}
