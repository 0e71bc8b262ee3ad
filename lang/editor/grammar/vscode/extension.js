// Starts the editor service, `perch lsp`, which does all but the colours.
"use strict";
const { execFile } = require("node:child_process");
const { promisify } = require("node:util");
const vscode = require("vscode");

const schemes = ["file", "untitled", "perch-lib"]; // the last are the library's texts, which the service serves
let client;

// start starts the service. Where it can't, it says what to do about it.
async function start(folder) {
  const command = vscode.workspace.getConfiguration("perch").get("path");
  let mend = `Run "npm install" in ${folder}.`;
  try {
    const { LanguageClient } = require("vscode-languageclient/node");
    mend = `Put perch into the PATH, or its whole path into the setting perch.path.`;
    // Not in the folder that is open: some systems would look for the program there first.
    const options = { cwd: folder };
    await promisify(execFile)(command, ["lsp", "--help"], options);
    client = new LanguageClient("perch", { command, args: ["lsp"], options }, {
      documentSelector: schemes.map((scheme) => ({ scheme, language: "perch" })),
      synchronize: { fileEvents: vscode.workspace.createFileSystemWatcher("**/*.perch") },
      middleware: { window: { showDocument: show } },
    });
  } catch (error) {
    const why = `perch colours designs but can't do more: ${error.message.split("\n")[0]}. ${mend}`;
    return await vscode.window.showErrorMessage(why, "Try again") && start(folder);
  }
  return client.start(); // which tells itself what goes wrong from here on
}

// show shows a picture beside the design: the program may run on a machine without a screen.
async function show({ uri }) {
  await vscode.commands.executeCommand("vscode.openWith", vscode.Uri.parse(uri), "imagePreview.previewEditor", vscode.ViewColumn.Beside);
  return { success: true };
}

exports.activate = (context) => void start(context.extensionPath);
exports.deactivate = () => client?.stop();
