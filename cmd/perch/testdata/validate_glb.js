// Has the Khronos Group's validator look at glTF files, and prints a JSON list of what it
// finds of each: errors, warnings, infos and hints with their first messages, and what it
// counts. It is installed by npm ci in .ci.
const fs = require('fs');
const path = require('path');
const validator = require(path.join(__dirname, '../../../.ci/node_modules/gltf-validator'));

(async () => {
  const found = [];
  for (const file of process.argv.slice(2)) {
    const r = await validator.validateBytes(new Uint8Array(fs.readFileSync(file)), { maxIssues: 5 });
    found.push({ file, issues: r.issues.numErrors + r.issues.numWarnings + r.issues.numInfos + r.issues.numHints,
      messages: r.issues.messages.map((m) => `${m.code} at ${m.pointer}: ${m.message}`),
      triangles: r.info.totalTriangleCount, animations: r.info.animationCount });
  }
  console.log(JSON.stringify(found));
})();
