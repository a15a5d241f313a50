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
"Inputs are UTF-8 text, with or without a byte order mark, with any line ends. A file in an old code page would turn the letters of marks into others, and a crew would look for marks that are not there. Save it as UTF-8."
}
