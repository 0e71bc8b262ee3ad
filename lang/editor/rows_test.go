package editor_test

import (
	"strings"
	"unicode/utf16"
)

// rowsOf cuts a text into lines as LSP 3.17 does, at "\n", "\r\n" and "\r", each in
// UTF-16 code units and without its end.
func rowsOf(text string) [][]uint16 {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	var rows [][]uint16
	for _, line := range strings.Split(text, "\n") {
		rows = append(rows, utf16Of(line))
	}
	return rows
}

func utf16Of(text string) []uint16 { return utf16.Encode([]rune(text)) }

func utf16Text(units []uint16) string { return string(utf16.Decode(units)) }
