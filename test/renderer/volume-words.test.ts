import { expect, test } from "vitest";
import { volumeWords } from "../../renderer/text/volume-words.ts";

test("one muscle changes, several change", () => {
	expect(volumeWords.most("Vastus medialis", "+21 mS/m")).toBe("Vastus medialis changes most: +21 mS/m.");
	expect(volumeWords.most("Hamstrings", "+21 mS/m")).toBe("Hamstrings change most: +21 mS/m.");
	expect(volumeWords.next("Adductors", "+9 mS/m")).toBe("Next are Adductors with +9 mS/m.");
});

test("what a volume is made without is listed band by band", () => {
	expect(volumeWords.without([[], []])).toBeNull();
	expect(volumeWords.without([[7], []])).toBe("Made without electrode 7 of band 1.");
	expect(volumeWords.without([[7], [3, 4, 9]])).toBe(
		"Made without electrode 7 of band 1 and electrodes 3, 4 and 9 of band 2.",
	);
});
