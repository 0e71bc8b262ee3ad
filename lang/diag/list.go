package diag

import (
	"fmt"
	"strings"
)

// maxListed are the names that a message lists.
const maxListed = 20

// List is names with commas between, for a message: at most twenty of them, and how
// many there are.
func List(names []string) string {
	if len(names) <= maxListed {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s… (%d in all)", strings.Join(names[:maxListed], ", ")+", ", len(names))
}
