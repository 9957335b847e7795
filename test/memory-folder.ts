import { existsSync, mkdirSync, readFileSync, statfsSync } from "node:fs";
import { join } from "node:path";

const MEMORY = "/dev/shm";
const LEAST_ROOM = 2 ** 30;

/** A folder for tests' files that Linux keeps in memory: databases need not wait for a disk, for no test cuts the power.
 *  @returns null where there is none, too little room in it, or no leave to run programs from it */
export function memoryFolder(): string | null {
	if (!existsSync(MEMORY)) return null;
	const { bavail, bsize } = statfsSync(MEMORY);
	if (bavail * bsize < LEAST_ROOM) return null;
	const mount = readFileSync("/proc/mounts", "utf8")
		.split("\n")
		.map((line) => line.split(" "))
		.find(([, at]) => at === MEMORY);
	if (mount === undefined || mount[3]!.split(",").includes("noexec")) return null;
	const folder = join(MEMORY, "tautline-tests");
	mkdirSync(folder, { recursive: true });
	return folder;
}
