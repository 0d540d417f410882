// Checks captions with the reference parser of WebVTT, npm's webvtt-parser. usage: judge_captions.mjs PARSER VTT
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const [parser, file] = process.argv.slice(2);
const { WebVTTParser } = createRequire(import.meta.url)(parser);
const text = readFileSync(file, "utf8");
const { cues, errors } = new WebVTTParser().parse(text, "captions");
if (errors.length) throw new Error(errors.map((error) => `line ${error.line}: ${error.message}`).join("\n"));
const lines = text.split("\n").filter((line) => line.includes("-->"));
if (cues.length !== lines.length || cues.some((cue) => cue.endTime <= cue.startTime)) throw new Error("cues");
// The parser accepts times without hours, but not all players do.
const time = String.raw`\d{2,}:\d{2}:\d{2}\.\d{3}`;
const bad = lines.find((line) => !new RegExp(`^${time} --> ${time}`).test(line));
if (bad) throw new Error(bad);
