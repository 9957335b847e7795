import { spawn } from "node:child_process";
import { join } from "node:path";

export interface CommandOutcome {
	readonly exitCode: number | null;
	readonly stdout: string;
	readonly stderr: string;
}

export const commandMain = join(import.meta.dirname, "../../app/command/main.ts");

/** Runs the command line as a person does, in a process of its own. */
export function runCommand(...args: string[]): Promise<CommandOutcome> {
	return new Promise((resolve, reject) => {
		const child = spawn(process.execPath, [commandMain, ...args], { stdio: ["ignore", "pipe", "pipe"] });
		let stdout = "";
		let stderr = "";
		child.stdout.setEncoding("utf8").on("data", (text: string) => {
			stdout += text;
		});
		child.stderr.setEncoding("utf8").on("data", (text: string) => {
			stderr += text;
		});
		child.on("error", reject);
		child.on("close", (exitCode) => resolve({ exitCode, stdout, stderr }));
	});
}
