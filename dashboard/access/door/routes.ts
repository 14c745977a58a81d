// The pages at the door, all of them.
import { readFileSync } from "node:fs";
import express, { type Router } from "express";
import { asNeeding } from "../guards.ts";
import { addAccount } from "./account.ts";
import { addBench } from "./bench.ts";
import type { Door } from "./door.ts";
import { addSignIn } from "./sign-in.ts";
import { addWelcome } from "./welcome.ts";

const formLimit = "8kb";
const style = readFileSync(new URL("./access.css", import.meta.url), "utf8");

export function accessPages(door: Door): Router {
  const router = express.Router();
  router.use(asNeeding("anyone", express.urlencoded({ extended: false, limit: formLimit, parameterLimit: 20 })));
  router.get("/access.css", door.require("anyone"), (_request, response) => {
    response.set("cache-control", "no-cache").type("css").send(style);
  });
  addSignIn(router, door);
  addWelcome(router, door);
  addAccount(router, door);
  addBench(router, door);
  return router;
}
