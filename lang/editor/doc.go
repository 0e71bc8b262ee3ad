// Package editor is the language server: it keeps the texts that an editor has
// open, and answers what the editor asks about them by the Language Server
// Protocol, 3.17 with the text documents of 3.18, over a stream. It uses the same parser, checker, builder and
// formatter as the command line, writes no file but by the command that builds,
// and never answers about an old version of a text.
//
// A text is analysed once for each of its versions, at once, and the answers are
// taken from that analysis; the geometry of the sizes is built in the background
// when the typing pauses.
package editor
