// Builds the pages: node build.mjs BUILD_DIR
//
//   proto/honbu/v1/*.proto      -> src/gen/honbu/v1/*_pb.ts   (git-ignored; import "../gen/honbu/v1/hub_pb")
//   src/pages/*.tsx, *.ts       -> BUILD_DIR/web/dist/*.js    one bundle for each page
//   html, css, icons, sounds    -> BUILD_DIR/web/dist/        from any folder of src, by name; css minified
//   BUILD_DIR/honbu.wasm        -> BUILD_DIR/web/dist/honbu.wasm
//   all of web/dist             -> BUILD_DIR/web/pages.S, pages.cpp   what the hub carries
//   the schemas, for tests      -> BUILD_DIR/web/wire.mjs     create, toBinary, fromBinary and every schema
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import * as fs from "node:fs";
import * as path from "node:path";
import { fileURLToPath } from "node:url";
import * as esbuild from "esbuild";

const here = path.dirname(fileURLToPath(import.meta.url));
const proto = path.join(here, "../../proto");
const src = path.join(here, "src");
const gen = path.join(src, "gen");
const build = process.argv[2];
if (!build) {
    console.error("build.mjs: say where to build: node build.mjs BUILD_DIR");
    process.exit(2);
}
const out = path.resolve(build, "web");
const dist = path.join(out, "dist");

const content_types = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".woff2": "font/woff2",
    ".wav": "audio/wav",
    ".webmanifest": "application/manifest+json",
    ".wasm": "application/wasm",
};

function files_in(folder) {
    if (!fs.existsSync(folder)) return [];
    return fs.readdirSync(folder, { withFileTypes: true })
        .filter((entry) => entry.isFile())
        .map((entry) => path.join(folder, entry.name))
        .sort();
}

// Several build folders may build from one work tree at the same time: only touch what changed.
function write_if_new(file, content) {
    if (fs.existsSync(file) && fs.readFileSync(file).equals(Buffer.from(content))) return;
    fs.mkdirSync(path.dirname(file), { recursive: true });
    fs.writeFileSync(`${file}.${process.pid}`, content);
    fs.renameSync(`${file}.${process.pid}`, file);
}

function generate_schemas() {
    const schemas = files_in(path.join(proto, "honbu/v1")).filter((file) => file.endsWith(".proto"));
    if (schemas.length === 0) return [];
    const fresh = path.join(out, "gen");
    fs.rmSync(fresh, { recursive: true, force: true });
    fs.mkdirSync(fresh, { recursive: true });
    const plugin = path.join(here, "node_modules/.bin/protoc-gen-es");
    execFileSync("protoc", ["-I", proto, `--plugin=protoc-gen-es=${plugin}`,
        `--es_out=${fresh}`, "--es_opt=target=ts", ...schemas], { stdio: "inherit" });
    return files_in(path.join(fresh, "honbu/v1")).map((file) => {
        const kept = path.join(gen, path.relative(fresh, file));
        write_if_new(kept, fs.readFileSync(file));
        return kept;
    });
}

async function bundle(schemas) {
    const pages = files_in(path.join(src, "pages")).filter((file) => /\.tsx?$/.test(file));
    const common = { bundle: true, format: "esm", absWorkingDir: here, logLevel: "warning" };
    await esbuild.build({
        ...common, entryPoints: pages, outdir: dist, entryNames: "[name]", minify: true, sourcemap: false,
        target: "es2022", legalComments: "none", jsx: "automatic", jsxImportSource: "preact",
    });
    const lines = schemas.map((file) => `export * from ${JSON.stringify(file)};`);
    lines.push('export * from "@bufbuild/protobuf";');
    await esbuild.build({
        ...common, stdin: { contents: lines.join("\n"), resolveDir: here }, platform: "node",
        outfile: path.join(out, "wire.mjs"),
    });
}

async function copy_rest() {
    const folders = fs.readdirSync(src, { recursive: true, withFileTypes: true })
        .filter((entry) => entry.isDirectory()).map((entry) => path.join(entry.parentPath ?? entry.path, entry.name));
    for (const file of [src, ...folders].flatMap(files_in)) {
        const kind = path.extname(file);
        const target = path.join(dist, path.basename(file));
        if (/\.m?[jt]sx?$/.test(kind)) continue;  // bundled
        if (kind === ".css" && fs.existsSync(target)) continue;  // bundled with the page that imports it
        if (fs.existsSync(target)) throw new Error(`${file}: there is another ${path.basename(file)}; give one another name`);
        if (kind === ".css") {
            const css = await esbuild.transform(fs.readFileSync(file, "utf8"), { loader: "css", minify: true });
            for (const warning of css.warnings) throw new Error(`${file}: ${warning.text}`);
            fs.writeFileSync(target, css.code);
        } else {
            fs.copyFileSync(file, target);
        }
    }
    const wasm = path.join(build, "honbu.wasm");
    if (fs.existsSync(wasm)) fs.copyFileSync(wasm, path.join(dist, "honbu.wasm"));
}

// .incbin works with every assembler we build with and costs no compile time, unlike an array of numbers.
function embed() {
    const files = files_in(dist);
    const data = ['    .section .rodata'];
    const externs = [];
    const rows = [];
    files.forEach((file, i) => {
        const bytes = fs.readFileSync(file);
        const tag = createHash("sha256").update(bytes).digest("hex").slice(0, 16);
        const type = content_types[path.extname(file)];
        if (!type) throw new Error(`${file}: no content type is known for it; add it to build.mjs`);
        data.push(`    .global honbu_page_${i}`, `honbu_page_${i}:`, `    .incbin ${JSON.stringify(file)}`, "    .byte 0");
        externs.push(`extern const char honbu_page_${i}[];`);
        rows.push(`    {"/${path.basename(file)}", "${type}", {honbu_page_${i}, ${bytes.length}}, "\\"${tag}\\""},`);
    });
    data.push('    .section .note.GNU-stack,"",@progbits', "");
    fs.writeFileSync(path.join(out, "pages.S"), data.join("\n"));
    fs.writeFileSync(path.join(out, "pages.cpp"), [
        "// Generated by clients/web/build.mjs.",
        "#include <vector>", "", '#include "hub/net/pages.h"', "",
        'extern "C" {', ...externs, "}", "", "namespace honbu {", "",
        "std::span<const Page> pages() {", "    static const std::vector<Page> all{", ...rows, "    };", "    return all;", "}",
        "", "}  // namespace honbu", ""].join("\n"));
}

fs.rmSync(dist, { recursive: true, force: true });
fs.mkdirSync(dist, { recursive: true });
await bundle(generate_schemas());
await copy_rest();
embed();
