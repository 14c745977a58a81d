import { expect, test } from "vitest";
import { livesFromText } from "../../dashboard/pages/leaves/bench/lives-text.ts";

test("lives as people write them", () => {
  const { lives, problems } = livesFromText("54 failed\n187, worn\n216 good\r\n240+\n 12.5h broke\n3,5;failed\n# a remark\n\n99");
  expect(problems).toEqual([]);
  expect(lives).toEqual({ time: [54, 187, 216, 240, 12.5, 3.5, 99], status: [1, 1, 0, 0, 1, 1, 1] });
});

test("what is not understood is named with its line, and never guessed", () => {
  const { lives, problems } = livesFromText("54 failed\nplaner\n12 maybe\n-3 failed\n0 good\n1.204,5 good");
  expect(lives.time).toEqual([54]);
  expect(problems.map(({ line }) => line)).toEqual([2, 3, 4, 5, 6]);
});
