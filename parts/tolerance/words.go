package tolerance

import (
	"fmt"
	"strings"

	"perch/parts/shop"
)

// PinTool says, behind the force on a pin in N, what it is put in with where that is no hand.
func PinTool(force float64, by shop.Tolerance) string {
	switch {
	case force > by.Drift:
		return ", too much"
	case force > by.Hand:
		return ", a drift"
	}
	return ""
}

// TogetherText words how many of 100 builds go together at the least.
func TogetherText(part float64) string {
	switch {
	case part >= 0.9995:
		return "more than 99.9"
	case part < 0.005:
		return "few or none"
	}
	return strings.TrimSuffix(fmt.Sprintf("at least %.1f", 100*part), ".0")
}
