/** What a process does about a defect of ours that nothing else caught: the board's current off, what is unwritten
 *  written, one line, and out. Going on with unknown state would be worse for the person at the band. */

/** The board answers within a second and a batch is on the disk soon after; a hung save must not keep us. */
const LONGEST_SAVE_MS = 3000;

export function saveOnDefect(save: () => Promise<void>): void {
	let isSaving = false;
	const handle = (error: unknown): void => {
		if (isSaving) return;
		isSaving = true;
		const reason = error instanceof Error ? (error.stack ?? error.message) : String(error);
		process.stderr.write(
			`Tautline has to stop because of a defect of its own. What was recorded is kept.\n${reason}\n`,
		);
		setTimeout(() => process.exit(70), LONGEST_SAVE_MS);
		void save().then(
			() => process.exit(70),
			() => process.exit(70),
		);
	};
	process.on("uncaughtException", handle).on("unhandledRejection", handle);
}
