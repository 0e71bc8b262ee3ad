package editor

import (
	"math"
	"regexp"
	"strconv"

	"perch/lang/quantity"
)

// form is how a statement is written, for those who begin one.
type form struct {
	word    string
	places  place
	reads   string
	snippet string
	doc     string
}

// place is where a statement may stand.
type place uint8

const (
	atTop place = 1 << iota
	inPanel
	inFace
)

// forms are the statements of the language.
var forms = []form{
	{"design", atTop, `design "name" in UNITS revision "A"`, `design "${1:Name}" in ${2|millimetres,inches|} revision "${3:A}"`, "names the family, the units it is read in, and its revision"},
	{"use", atTop, "use NAME, NAME as NAME from MODULE", "use ${2:name} from ${1:std.stool}", "takes panels, lets and stocks from a module"},
	{"stock", atTop, "stock NAME = sheet(MATERIAL, THICKNESS)", "stock ${1:shell} = sheet(${2:mild_steel}, ${3:1.5mm})", "names a sheet metal"},
	{"param", atTop, `param NAME: TYPE in LOW..HIGH = VALUE "doc"`, `param ${1:name}: ${2:length} in ${3:100mm}..${4:900mm} = ${5:300mm} "${6:what it is}"`, "a value that the user may state"},
	{"let", atTop | inPanel | inFace, "let NAME[NAME in LIST] = VALUE", "let ${1:name} = ${2:value}", "a name for an expression"},
	{"rule", atTop | inPanel, `rule VALUE = VALUE if CONDITION "why"`, `rule ${1:left} ${2:=} ${3:right} "${4:why}"`, "must hold; solved in any direction"},
	{"size", atTop, "size NAME like NAME: NAME = VALUE", "size ${1:name}: ${2:param} = ${3:value}", "a row of stated values"},
	{"body", atTop, "body NAME[NAME in LIST] = VALUE", "body ${1:frame} = frustum(top: ${2:300mm}, bottom: ${3:400mm}, height: ${4:600mm})", "a skeleton that the panels hang on"},
	{"part", atTop, "part NAME[NAME in LIST] of STOCK = PANEL(…) loose if CONDITION", "part ${1:name} of ${2:stock} = ${3:panel}($4)", "a panel made of a stock, or a family of them"},
	{"join", atTop, "join NAME = FACE to FACE at PLACES by FASTENER if CONDITION", "join ${1:name} = ${2:face} to ${3:face} by ${4:rivet(4.8mm, count: 2)}", "fastens faces that touch"},
	{"panel", atTop, `panel NAME(NAME: TYPE, …) "doc" { … }`, "panel ${1:name}(\n  ${2:s}: ${3:side} \"${4:where it goes}\",\n) \"${5:What it is.}\" {\n  face ${6:web} on ${2:s} {\n    outline ${7:s.band(0mm, s.slant)}\n  }\n}", "defines a bent part"},
	{"face", inPanel, "face NAME[NAME in LIST] on PLANE from CORNER { … }, or face NAME off EDGE up ANGLE { … }", "face ${1:name} on ${2:plane} {\n  outline ${3:shape}\n}", "one flat of a panel, placed"},
	{"outline", inFace, "outline SHAPE", "outline ${1:shape}", "the face's edge"},
	{"cut", inFace, "cut NAME[NAME in LIST] = SHAPE if CONDITION", "cut ${1:name} = ${2:circle(8mm)}", "a named opening"},
	{"mark", inFace, "mark NAME[NAME in LIST] = LINE if CONDITION", "mark ${1:name} = ${2:line([(0mm, 0mm), (10mm, 0mm)])}", "named text, line or bead, not cut"},
	{"fold", inPanel, "fold FACE to FACE by bend(…) if CONDITION", "fold ${1:face} to ${2:face}", "bends one face off another"},
	{"seam", inPanel, "seam FACE to FACE by open(GAP) if CONDITION", "seam ${1:face} by ${2:open(1mm)}", "how neighbouring faces meet"},
	{"cut", atTop, "cut NAME[NAME in LIST] in FACE through PART = SHAPE if CONDITION", "cut ${1:name} in ${2:part.face} = ${3:circle(8mm)} at (${4:0mm}, ${5:0mm})", "an opening in a part's face, made by the file"},
	{"mark", atTop, "mark NAME[NAME in LIST] in FACE = LINE if CONDITION", "mark ${1:name} in ${2:part.face} = ${3:text(\"A1\")}", "a mark in a part's face, made by the file"},
	{"if", 0, "if CONDITION then VALUE else VALUE", "if ${1:condition} then ${2:value} else ${3:value}", "chooses a value; guards a statement"},
	{"not", 0, "not CONDITION", "not ${1:condition}", "negation"},
}

// sampleLength is a length that a snippet proposes.
var sampleLength = regexp.MustCompile(`([0-9.]+)mm`)

// written is the form's snippet with the lengths that it proposes in a design's units: in
// inches to the nearest half, or sixteenth below one inch.
func (f form) written(units quantity.System) string {
	if units != quantity.Inches {
		return f.snippet
	}
	return sampleLength.ReplaceAllStringFunc(f.snippet, func(text string) string {
		mm, err := strconv.ParseFloat(text[:len(text)-len("mm")], 64)
		if err != nil {
			return text
		}
		parts := 2.0
		if mm < quantity.InchMM {
			parts = 16
		}
		return quantity.FormatFraction(math.Round(mm/quantity.InchMM*parts)/parts*quantity.InchMM, 16) + "in"
	})
}
