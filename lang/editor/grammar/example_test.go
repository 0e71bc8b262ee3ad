package grammar_test

import (
	"fmt"
	"maps"
	"slices"

	"perch/lang/editor/grammar"
)

func ExampleFiles() {
	for _, path := range slices.Sorted(maps.Keys(grammar.Files())) {
		fmt.Println(path)
	}
	// Output:
	// vim/autoload/perch.vim
	// vim/ftdetect/perch.vim
	// vim/ftplugin/perch.vim
	// vim/indent/perch.vim
	// vim/lua/perch.lua
	// vim/plugin/perch.vim
	// vim/syntax/perch.vim
	// vscode/.gitignore
	// vscode/extension.js
	// vscode/language-configuration.json
	// vscode/package.json
	// vscode/syntaxes/perch.tmLanguage.json
}
