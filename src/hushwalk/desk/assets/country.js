/* The room 'country': what it shows in its part of the panel and on the map. */
"use strict";
Desk.rooms.country = { open() {}, close() {}, news() {} };
