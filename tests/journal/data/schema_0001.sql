BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE entries (
	number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	"key" TEXT NOT NULL, 
	tank_key TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	corrects TEXT, 
	at DATETIME, 
	zone TEXT, 
	hour_known BOOLEAN, 
	subject TEXT, 
	low FLOAT, 
	high FLOAT, 
	raw TEXT NOT NULL, 
	body TEXT NOT NULL, 
	CONSTRAINT uq_entries_key UNIQUE ("key"), 
	CONSTRAINT ck_entries_kind CHECK (kind IN ('tank', 'reading', 'event', 'habit', 'undo')), 
	CONSTRAINT ck_entries_undo CHECK (kind <> 'undo' OR corrects IS NOT NULL), 
	CONSTRAINT fk_entries_tank_key FOREIGN KEY(tank_key) REFERENCES tanks ("key"), 
	CONSTRAINT fk_entries_write_key FOREIGN KEY(write_key) REFERENCES writes ("key"), 
	CONSTRAINT fk_entries_corrects FOREIGN KEY(corrects) REFERENCES entries ("key")
);
INSERT INTO "entries" VALUES(1,'2aae7fa00597413a84a3e65fdae0c7d2','b817f51320ce4acca6b2b4feb6e09f21','2054979a8b80471894d4c0725136f19d','tank',NULL,NULL,NULL,NULL,'Reading room',NULL,NULL,'','{"name":"Reading room","filled":"2026-03-01","time_zone":"Europe/Lisbon","shape":{"kind":"rectangular","length_cm":60.0,"width_cm":30.0,"height_cm":36.0,"water_depth_cm":32.0,"glass_mm":6.0,"measured":"outside"},"bed":{"material":"gravel","depth_cm":3.5,"grain_mm":3.0},"filter":{"media":[{"kind":"sponge","volume_l":0.6}],"flow_l_per_h":300.0},"heater_power_w":75.0,"heater_set_point_c":25.0,"air_flow_l_per_h":60.0,"light_hours":8.0,"plants":"few","lid":true,"room_temperature_c":20.0,"altitude_m":300.0,"normal_food_g_per_d":{"low":0.03,"high":0.03},"normal_food_protein":0.42,"source_water":{"ph":7.6,"kh_dkh":5.0,"gh_dgh":8.0,"nitrate_mg_n_per_l":1.1294833150283285,"chloramine_mg_per_l":1.5,"salinity_g_per_kg":0.0},"fill_conditioned":true,"kits":{"drop":{"name":"drop","kind":"drop","scales":[{"quantity":"ammonia","steps":[0.0,0.3,0.7,1.5,3.0,6.0],"basis":"n"}],"calibrated":[]}},"food_amounts":{"pinch":{"low":0.03,"high":0.03}},"settled_levels":{"ammonia_mg_n_per_l":0.2,"nitrite_mg_n_per_l":0.1},"limit_edits":[]}');
INSERT INTO "entries" VALUES(2,'ca546ae78af341399eda55d1b7390a63','b817f51320ce4acca6b2b4feb6e09f21','2054979a8b80471894d4c0725136f19d','event',NULL,'2026-03-01 11:00:00.000000','Europe/Lisbon',1,'dose',NULL,NULL,'','{"is":"dose","substance":"conditioner"}');
INSERT INTO "entries" VALUES(3,'85800f6258d148cc8be6ce0ca32f125a','b817f51320ce4acca6b2b4feb6e09f21','2054979a8b80471894d4c0725136f19d','event',NULL,'2026-03-02 18:00:00.000000','Europe/Lisbon',1,'animals-in',NULL,NULL,'','{"is":"animals-in","species":"Danio rerio","count":4,"length_cm":2.5}');
INSERT INTO "entries" VALUES(4,'7fb5022d2e424279a673f3a61cfa91ba','b817f51320ce4acca6b2b4feb6e09f21','2054979a8b80471894d4c0725136f19d','event',NULL,'2026-03-12 12:00:00.000000','Europe/Lisbon',0,'water-change',NULL,NULL,'','{"is":"water-change","fraction":0.25,"conditioner":true,"water":{}}');
INSERT INTO "entries" VALUES(5,'6a46fadfd8b24a218e2508c35b2cdf87','b817f51320ce4acca6b2b4feb6e09f21','2054979a8b80471894d4c0725136f19d','habit',NULL,'2026-03-02 12:00:00.000000','Europe/Lisbon',0,'feed',NULL,NULL,'1 pinch','{"template":{"is":"feed","mass_g":{"low":0.03,"high":0.03},"protein":0.42,"raw":"1 pinch"},"every_days":1.0,"start":"2026-03-02"}');
INSERT INTO "entries" VALUES(6,'48ffd2270eea4d9e804aa711785dfac6','b817f51320ce4acca6b2b4feb6e09f21','2054979a8b80471894d4c0725136f19d','reading',NULL,'2026-03-10 19:00:00.000000','Europe/Lisbon',1,'ammonia',0.7,0.7,'0.7 mg/L as N','{"quantity":"ammonia","value":{"kind":"exact","low":0.7,"high":0.7,"basis":"n","raw":"0.7 mg/L as N"},"kit":"drop","of_source_water":false,"diluted":1.0}');
INSERT INTO "entries" VALUES(7,'9541a11f91014ee084785fe85410e4cd','b817f51320ce4acca6b2b4feb6e09f21','8831203d260e4027be7cf37b6a327b66','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"kept"}');
INSERT INTO "entries" VALUES(8,'83a8ac97f05e41e288b98fdefb379e12','b817f51320ce4acca6b2b4feb6e09f21','24fa0f52d9c54e7d9c723c68ff95f01e','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"tow"}');
INSERT INTO "entries" VALUES(9,'e1840d78c4d649c1ba96c880c9217052','b817f51320ce4acca6b2b4feb6e09f21','15f62c61ee984e3a80cb9157f6ac7633','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"undone"}');
INSERT INTO "entries" VALUES(10,'648118b9089645d1ac345917f247b539','b817f51320ce4acca6b2b4feb6e09f21','bc03d2d0786d419a80830943420783b5','undo','e1840d78c4d649c1ba96c880c9217052',NULL,NULL,NULL,NULL,NULL,NULL,'','{}');
INSERT INTO "entries" VALUES(11,'86bfbef1491e4a5081c63ab02d4aba7d','b817f51320ce4acca6b2b4feb6e09f21','629974c436fd4661b8b6a706c53e9965','event','83a8ac97f05e41e288b98fdefb379e12','2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"two"}');
CREATE TABLE tanks (
	"key" TEXT NOT NULL, 
	owner TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	CONSTRAINT pk_tanks PRIMARY KEY ("key"), 
	CONSTRAINT fk_tanks_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "tanks" VALUES('b817f51320ce4acca6b2b4feb6e09f21','me','2054979a8b80471894d4c0725136f19d');
CREATE TABLE writes (
	"key" TEXT NOT NULL, 
	actor TEXT NOT NULL, 
	request TEXT NOT NULL, 
	digest TEXT NOT NULL, 
	what TEXT NOT NULL, 
	written_at DATETIME NOT NULL, 
	CONSTRAINT pk_writes PRIMARY KEY ("key"), 
	CONSTRAINT uq_writes_actor UNIQUE (actor, request)
);
INSERT INTO "writes" VALUES('2054979a8b80471894d4c0725136f19d','me','2054979a8b80471894d4c0725136f19d','87623ceab830648b4f91539f54b7d3d6ef9bbdb04a1442dcfbf90103dd60e73e','add','2026-11-25 23:48:03.033082');
INSERT INTO "writes" VALUES('8831203d260e4027be7cf37b6a327b66','me','kept','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-25 23:48:03.049045');
INSERT INTO "writes" VALUES('24fa0f52d9c54e7d9c723c68ff95f01e','me','tow','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-25 23:48:03.057054');
INSERT INTO "writes" VALUES('15f62c61ee984e3a80cb9157f6ac7633','me','undone','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-25 23:48:03.061012');
INSERT INTO "writes" VALUES('bc03d2d0786d419a80830943420783b5','me','bc03d2d0786d419a80830943420783b5','eb8d7f8b06b8f78335ec72aa890b0d39aa470613cd451c49df2f52a2ce054859','undo','2026-11-25 23:48:03.064988');
INSERT INTO "writes" VALUES('629974c436fd4661b8b6a706c53e9965','me','629974c436fd4661b8b6a706c53e9965','844cd17a64dffb0b93be849979ecbc677a8e98a1b595a402ec08ce1b4f683166','correct','2026-11-25 23:48:03.073993');
CREATE INDEX ix_tanks_owner ON tanks (owner);
CREATE INDEX ix_entries_write_key ON entries (write_key);
CREATE INDEX ix_entries_tank_key_kind_at ON entries (tank_key, kind, at);
CREATE INDEX ix_entries_tank_key_corrects ON entries (tank_key, corrects);
CREATE TRIGGER writes_no_update BEFORE UPDATE ON writes BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER writes_no_delete BEFORE DELETE ON writes BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER tanks_no_update BEFORE UPDATE ON tanks BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER tanks_no_delete BEFORE DELETE ON tanks BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER entries_no_update BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER entries_no_delete BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entries',11);
COMMIT;
