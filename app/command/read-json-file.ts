import { readFile } from "node:fs/promises";
import { failure, type Result, success } from "../../core/result.ts";

/** What the one file named on the command line holds; else why not, in one sentence. */
export async function readJsonFile(
	positionals: readonly string[],
	what: string,
): Promise<Result<{ readonly path: string; readonly input: unknown }, { exitCode: 1 | 2; message: string }>> {
	const [path, ...more] = positionals;
	if (path === undefined || more.length > 0) {
		return failure({ exitCode: 2, message: `expected one ${what} file, got ${positionals.length}` });
	}
	let text: string;
	try {
		text = await readFile(path, "utf8");
	} catch (error) {
		const { code } = error as NodeJS.ErrnoException;
		return failure({
			exitCode: 1,
			message: `${path} cannot be read (${code ?? "it is too large"}): check the path.`,
		});
	}
	try {
		// Some editors begin a text with a byte order mark, which JSON does not know.
		return success({ path, input: JSON.parse(text.replace(/^\uFEFF/, "")) as unknown });
	} catch (error) {
		return failure({ exitCode: 1, message: `${path}: expected JSON, got ${(error as Error).message}` });
	}
}
