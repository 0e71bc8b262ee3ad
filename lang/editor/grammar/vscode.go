package grammar

// manifest of the extension folder: copy or link it into the editor's folder of
// extensions. It colours, and starts no program.
const manifest = `{
  "name": "perch",
  "displayName": "perch",
  "description": "Colours and brackets for .perch designs",
  "version": "0.1.0",
  "publisher": "perch",
  "license": "MIT",
  "engines": { "vscode": "^1.60.0" },
  "categories": ["Programming Languages"],
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
    "configurationDefaults": {
      "[perch]": { "editor.tabSize": 2, "editor.insertSpaces": true }
    }
  }
}
`

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
  "wordPattern": "[\\p{L}_][\\p{L}\\p{N}_]*"
}
`
