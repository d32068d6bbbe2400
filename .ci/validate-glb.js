// Validates binary glTF files: node validate-glb.js VALIDATOR FILE...
const fs = require('node:fs');
const path = require('node:path');

const [validator, ...files] = process.argv.slice(2);
const { validateBytes } = require(path.resolve(validator));

async function main() {
    if (files.length === 0) {
        throw new Error('no files');
    }
    for (const file of files) {
        const { issues, info } = await validateBytes(new Uint8Array(fs.readFileSync(file)));
        console.log(`${file}: ${issues.numErrors} errors, ${issues.numWarnings} warnings, ${info.totalTriangleCount} triangles`);
        if (issues.numErrors + issues.numWarnings > 0) {
            console.log(JSON.stringify(issues.messages, null, 2));
            process.exitCode = 1;
        }
    }
}

main().catch((error) => {
    console.error(String(error));
    process.exitCode = 1;
});
