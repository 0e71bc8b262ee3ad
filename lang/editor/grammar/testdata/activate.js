// Runs the extension on a stand-in of the editor and of the protocol's client.
// Arguments: the extension's folder, then for each start one path of the program,
// which the user is to have set when the start before it failed.
// Prints, a line of JSON each, what the extension showed and what a started service answered.
"use strict";
const { spawn } = require("node:child_process");
const Module = require("node:module");
const path = require("node:path");

const [folder, ...paths] = process.argv.slice(2);
const tell = (what) => console.log(JSON.stringify(what));

const editor = {
  Uri: { parse: (text) => ({ parsed: text }) },
  ViewColumn: { Beside: -2 },
  commands: { executeCommand: async (command, ...args) => tell({ editorCommand: command, editorArgs: args }) },
  workspace: {
    getConfiguration: (section) => ({ get: (key) => (section + "." + key === "perch.path" ? paths[0] : undefined) }),
    createFileSystemWatcher: (glob) => ({ glob }),
  },
  window: {
    showErrorMessage: async (message, ...buttons) => {
      paths.shift();
      tell({ message, buttons });
      return paths.length > 0 ? buttons[0] : undefined;
    },
  },
};

// LanguageClient starts the service that it is given and asks it what it can do.
class LanguageClient {
  constructor(name, server, options) {
    this.server = server;
    this.options = options;
    tell({ client: name, command: server.command, args: server.args, cwd: server.options.cwd, options });
  }
  start() {
    return new Promise((resolve, reject) => {
      const child = (this.child = spawn(this.server.command, this.server.args, this.server.options));
      child.on("error", reject);
      child.on("exit", (status) => tell({ status }));
      let got = "";
      child.stdout.on("data", (data) => {
        got += data;
        const [head, body] = got.split("\r\n\r\n");
        if (body === undefined || body.length < Number(head.match(/Content-Length: (\d+)/)[1])) return;
        got = "";
        const answer = JSON.parse(body);
        if (answer.id !== 1) return this.send({ method: "exit" });
        tell({ commands: answer.result.capabilities.executeCommandProvider.commands });
        this.send({ method: "initialized", params: {} });
        resolve();
        const picture = { uri: "file:///out/picture.svg", external: true };
        this.options.middleware.window.showDocument(picture, {}, () => tell({ message: "it asks the system" })).then(({ success }) => {
          if (success) extension.deactivate();
        });
      });
      this.send({ id: 1, method: "initialize", params: { processId: null, rootUri: null, capabilities: {} } });
    });
  }
  stop() {
    this.send({ id: 2, method: "shutdown" });
  }
  send(message) {
    const body = JSON.stringify({ jsonrpc: "2.0", ...message });
    this.child.stdin.write(`Content-Length: ${Buffer.byteLength(body)}\r\n\r\n${body}`);
  }
}

const load = Module._load;
Module._load = (name, ...rest) => {
  if (name === "vscode") return editor;
  if (name === "vscode-languageclient/node") {
    if (paths[0] !== "no client") return { LanguageClient };
    throw new Error("Cannot find module 'vscode-languageclient/node'\nRequire stack:\n- extension.js");
  }
  return load(name, ...rest);
};

const extension = require(path.join(folder, "extension.js"));
extension.activate({ extensionPath: folder, subscriptions: [] });
