/** The researcher's walk: measured frames of a test tank opened from a file, and a board on a real serial device. */
import { spawn } from "node:child_process";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { createPattern } from "../../core/band/patterns.ts";
import { createTerminalPair, hasTerminals, type Terminal } from "../command/pseudo-terminal.ts";
import tank16 from "../outside/data/tank16.json" with { type: "json" };
import { createRandom } from "../picture/plain-algebra.ts";
import {
	acknowledgeCautions,
	goTo,
	postponeCautions,
	screenshot,
	useApp,
	waitForColour,
	waitForPictures,
} from "./app-under-test.ts";

const root = join(import.meta.dirname, "..", "..");
let terminal: Terminal | null = null;
const scene = useApp(async () => {
	if (hasTerminals) terminal = await createTerminalPair(boardEnd, hostEnd);
	return ["--serial", hostEnd];
});
const hostEnd = join(scene.dataFolder, "host");
const boardEnd = join(scene.dataFolder, "board");

afterAll(() => terminal?.unplug());

test.each(["tank16", "tank32"])("shows the measured frames of %s on the real screen", async (name) => {
	const { page, complaints } = await scene.open();
	await postponeCautions(page);
	await goTo(page, "Sessions");
	const file = join(root, "test", "outside", "data", `${name}.json`);
	await page.locator("input[type=file]").setInputFiles(file);
	await page.getByRole("button", { name: "Play" }).waitFor();
	await waitForColour(page);
	await screenshot(page, `${name}-first`);
	await waitForPictures(page, 1, () => page.keyboard.press("End"));
	await screenshot(page, `${name}-last`);
	expect(await page.getByText("Medial").count()).toBe(0);
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("shows a file without the electrodes that fail in it, and says so", async () => {
	const { page, complaints } = await scene.open();
	await postponeCautions(page);
	await goTo(page, "Sessions");
	const { terminals } = createPattern(16, "adjacent");
	const frame = tank16.frames["1.1"];
	const random = createRandom(7);
	const voltages = frame.voltages.map((value, r) =>
		terminals.subarray(4 * r, 4 * r + 4).some((electrode) => [4, 5].includes(electrode)) ? random() : value,
	);
	const region = { name: "upper half", type: "circle", center: [0, 0.05], radius: 0.04, sigma: 0.03 };
	const file = {
		...tank16,
		setup: { ...tank16.setup, regions: [region] },
		frames: { "1.1": { ...frame, voltages } },
	};
	await page.locator("input[type=file]").setInputFiles({
		name: "spoiled.json",
		mimeType: "application/json",
		buffer: Buffer.from(JSON.stringify(file)),
	});
	await page.getByText("Electrodes 5 and 6 failed here: their readings are left out.").waitFor();
	await page.getByText("values marked ≈ are estimates").waitFor();
	// of the only frame, though nothing is played
	await page.getByText(/^≈/).waitFor();
	await screenshot(page, "tank16-spoiled");
	expect(complaints).toEqual([]);
	await page.context().close();
});

test("refuses a file that is no recording in one sentence", async () => {
	const { page } = await scene.open();
	await postponeCautions(page);
	await goTo(page, "Sessions");
	await page.locator("input[type=file]").setInputFiles({
		name: "broken.json",
		mimeType: "application/json",
		buffer: Buffer.from('{"setup": {'),
	});
	const alert = page.getByRole("alert");
	await alert.waitFor();
	expect(await alert.textContent()).toMatch(/recording/i);
	await screenshot(page, "sessions-bad-file");
	await page.context().close();
});

test.skipIf(!hasTerminals)(
	"connects to a board on a serial device and loses and finds it again",
	async () => {
		const { page, complaints } = await scene.open();
		await acknowledgeCautions(page);
		await goTo(page, "Connect");
		const board = spawn(
			process.execPath,
			["app/command/main.ts", "simulate", "--port", boardEnd, "--seed", "7"],
			{
				cwd: root,
				stdio: "ignore",
			},
		);
		await page.getByRole("button", { name: `Connect ${hostEnd}` }).click();
		await page
			.getByText(/Streaming from/)
			.first()
			.waitFor();
		await screenshot(page, "connect-serial");
		await goTo(page, "Live");
		await waitForPictures(page, 60);
		expect(await page.getByText("Simulated", { exact: true }).count()).toBeGreaterThan(0);
		board.kill();
		expect(complaints).toEqual([]);
		await page.context().close();
	},
);
