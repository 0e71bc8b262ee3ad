package reference

import "strings"

// Block is one fenced block of a text.
type Block struct {
	Line  int    // of its fence, from 1
	Lang  string // the first word behind the fence: perch, console, …
	Words []string
	Text  string // without the fences; ends with a line feed unless empty
	Part  string // the generated part it stands in, or ""
}

// Blocks finds the fenced blocks of a Markdown text in order. A block that is
// not closed reaches to the end of the text.
func Blocks(text string) []Block {
	var out []Block
	var b *Block
	part := ""
	for i, line := range strings.SplitAfter(text, "\n") {
		bare := strings.TrimSpace(line)
		switch {
		case b != nil && bare == "```":
			out = append(out, *b)
			b = nil
		case b != nil:
			b.Text += line
		case strings.HasPrefix(bare, "```"):
			b = &Block{Line: i + 1, Part: part}
			if info := strings.Fields(bare[3:]); len(info) > 0 {
				b.Lang, b.Words = info[0], info[1:]
			}
		case bare == endMark:
			part = ""
		default:
			if name, ok := marker(line); ok {
				part = name
			}
		}
	}
	if b != nil {
		out = append(out, *b)
	}
	return out
}
