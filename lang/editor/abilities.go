package editor

import "go.lsp.dev/protocol"

// abilities are what a client said that it can do, as far as the service asks.
type abilities struct {
	refreshesHints bool // it asks for hints again when told to
	pulls          bool // it asks for diagnostics, and again when told to
	showsProgress  bool // it shows how far work has come that it did not ask for
}

func abilitiesOf(c *protocol.ClientCapabilities) abilities {
	var out abilities
	if w := c.Workspace; w != nil {
		out.refreshesHints = w.InlayHint != nil && yes(w.InlayHint.RefreshSupport)
		out.pulls = w.Diagnostics != nil && yes(w.Diagnostics.RefreshSupport) && c.TextDocument != nil && c.TextDocument.Diagnostic != nil
	}
	if w := c.Window; w != nil {
		out.showsProgress = yes(w.WorkDoneProgress)
	}
	return out
}

func yes(flag *bool) bool { return flag != nil && *flag }
