package output

import (
	"fmt"
	"strings"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// maxName is the length in bytes up to which a blank's or size's name is a file's. File
// systems stop at 255, endings and what an editor puts behind a name included (common
// practice, no source).
const maxName = 200

// BadName says why something of a name can't be written as a file or folder.
type BadName struct{ Name, Why string }

// BadNames tells which of some names can't all be files beside each other in one folder,
// or folders, on the file systems that drawings are carried to: many of those hold names
// that differ in capitals or in how an accent is written to be one, and some keep names
// for devices.
func BadNames(names []string) []BadName {
	var bad []BadName
	seen := map[string]string{}
	for _, n := range names {
		f := folded(n)
		other, taken := seen[f]
		switch {
		case taken && other != n:
			bad = append(bad, BadName{n, fmt.Sprintf("on many systems its file is the same as that of %s", other)})
		case DeviceName(n):
			bad = append(bad, BadName{n, "some systems keep that name for a device"})
		case len(n) > maxName:
			bad = append(bad, BadName{n, fmt.Sprintf("it is %d bytes long, and a file's name %d at the most", len(n), maxName)})
		}
		if !taken {
			seen[f] = n
		}
	}
	return bad
}

// BadBlanks tells which names of blanks can't all be their drawings' in a size's folder.
func BadBlanks(names []string) []BadName {
	bad := BadNames(names)
	for _, n := range names {
		for _, picture := range []string{PictureSVG, BehindSVG} { // the blank's flat would be the piece's picture
			if folded(n) == strings.TrimSuffix(picture, ".svg") {
				bad = append(bad, BadName{n, fmt.Sprintf("%s shows the assembled piece", picture)})
			}
		}
	}
	return bad
}

// folded is a name as file systems compare it that tell neither capitals nor ways to write
// an accent apart.
func folded(name string) string { return norm.NFC.String(cases.Fold().String(norm.NFD.String(name))) }

// DeviceName tells names that Windows keeps for devices, whatever stands behind a point.
func DeviceName(name string) bool {
	n, _, _ := strings.Cut(strings.ToLower(name), ".")
	switch n {
	case "con", "prn", "aux", "nul":
		return true
	}
	return len(n) == 4 && (n[:3] == "com" || n[:3] == "lpt") && n[3] >= '0' && n[3] <= '9'
}
