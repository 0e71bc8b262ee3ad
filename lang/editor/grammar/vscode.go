package grammar

import _ "embed"

// manifest of the extension folder. npm brings the client of the language
// server protocol into it, and its script makes of both the file that the editor
// installs: a folder that is merely linked among the extensions is passed over
// where the editor was not running meanwhile. The service's own commands are not named here: the client
// registers what the service says it can do. The path of the program is the
// user's to set and not an opened folder's, which could name any program. The
// scope of the service's keywords is that of most here: the editor's own choice
// is one for the flow of control, and would colour a design anew.
const manifest = `{
  "name": "perch",
  "displayName": "perch",
  "description": "Colours, brackets and the editor service for .perch designs",
  "version": "0.2.0",
  "publisher": "perch",
  "license": "MIT",
  "private": true,
  "engines": { "vscode": "^1.91.0" },
  "categories": ["Programming Languages"],
  "main": "./extension.js",
  "activationEvents": ["onLanguage:perch"],
  "capabilities": { "untrustedWorkspaces": { "supported": true } },
  "scripts": { "vsix": "npx --yes @vscode/vsce@4.1.0 package --skip-license --allow-missing-repository --out perch.vsix" },
  "dependencies": { "vscode-languageclient": "11.0.0" },
  "contributes": {
    "languages": [
      {
        "id": "perch",
        "aliases": ["perch"],
        "extensions": [".perch"],
        "configuration": "./language-configuration.json"
      }
    ],
    "grammars": [
      {
        "language": "perch",
        "scopeName": "source.perch",
        "path": "./syntaxes/perch.tmLanguage.json"
      }
    ],
    "semanticTokenScopes": [
      { "language": "perch", "scopes": { "keyword": ["keyword.other.perch"] } }
    ],
    "configuration": {
      "title": "perch",
      "properties": {
        "perch.path": {
          "type": "string",
          "default": "perch",
          "scope": "machine",
          "description": "The program perch: its name, where it is in the PATH, or its whole path."
        }
      }
    },
    "configurationDefaults": {
      "[perch]": { "editor.tabSize": 2, "editor.insertSpaces": true }
    }
  }
}
`

// configuration is how the editor handles the text itself. A word pattern
// without the flag u would know no letters but those of \p{L}'s own spelling.
const configuration = `{
  "comments": { "lineComment": "//" },
  "brackets": [["(", ")"], ["[", "]"], ["{", "}"]],
  "autoClosingPairs": [
    { "open": "(", "close": ")" },
    { "open": "[", "close": "]" },
    { "open": "{", "close": "}" },
    { "open": "\"", "close": "\"", "notIn": ["string", "comment"] }
  ],
  "surroundingPairs": [["(", ")"], ["[", "]"], ["{", "}"], ["\"", "\""]],
  "indentationRules": {
    "increaseIndentPattern": "[\\(\\[\\{]\\s*(//.*)?$",
    "decreaseIndentPattern": "^\\s*[\\)\\]\\}]"
  },
  "wordPattern": { "pattern": "[\\p{L}_][\\p{L}\\p{N}_]*", "flags": "u" }
}
`

// extension starts the service.
//
//go:embed vscode/extension.js
var extension string

// ignored is what npm brings or makes, and what git leaves out.
const ignored = "node_modules/\npackage-lock.json\nperch.vsix\n"
