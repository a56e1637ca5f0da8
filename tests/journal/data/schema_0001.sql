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
INSERT INTO "entries" VALUES(1,'bc6e1fc08e6442c48141783a1f89c25d','1dab4c32c1f04b44baa254002aff041e','539be9d837b54e71ab85111c3fbcc3e7','tank',NULL,NULL,NULL,NULL,'Reading room',NULL,NULL,'','{"name":"Reading room","filled":"2026-03-01","time_zone":"Europe/Lisbon","shape":{"kind":"rectangular","length_cm":60.0,"width_cm":30.0,"height_cm":36.0,"water_depth_cm":32.0,"glass_mm":6.0,"measured":"outside"},"bed":{"material":"gravel","depth_cm":3.5,"grain_mm":3.0},"filter":{"media":[{"kind":"sponge","volume_l":0.6}],"flow_l_per_h":300.0},"heater_power_w":75.0,"heater_set_point_c":25.0,"air_flow_l_per_h":60.0,"light_hours":8.0,"plants":"few","lid":true,"room_temperature_c":20.0,"altitude_m":300.0,"normal_food_g_per_d":{"low":0.03,"high":0.03},"normal_food_protein":0.42,"source_water":{"ph":7.6,"kh_dkh":5.0,"gh_dgh":8.0,"nitrate_mg_n_per_l":1.1294833150283285,"chloramine_mg_per_l":1.5,"salinity_g_per_kg":0.0},"fill_conditioned":true,"kits":{"drop":{"name":"drop","kind":"drop","scales":[{"quantity":"ammonia","steps":[0.0,0.3,0.7,1.5,3.0,6.0],"basis":"n"}],"calibrated":[]}},"food_amounts":{"pinch":{"low":0.03,"high":0.03}},"settled_levels":{"ammonia_mg_n_per_l":0.2,"nitrite_mg_n_per_l":0.1},"limit_edits":[]}');
INSERT INTO "entries" VALUES(2,'771e2ecddab9469e9961b172e06e29db','1dab4c32c1f04b44baa254002aff041e','539be9d837b54e71ab85111c3fbcc3e7','event',NULL,'2026-03-01 11:00:00.000000','Europe/Lisbon',1,'dose',NULL,NULL,'','{"is":"dose","substance":"conditioner"}');
INSERT INTO "entries" VALUES(3,'c33bfc8cf3154aac951b1ea4efad103b','1dab4c32c1f04b44baa254002aff041e','539be9d837b54e71ab85111c3fbcc3e7','event',NULL,'2026-03-02 18:00:00.000000','Europe/Lisbon',1,'animals-in',NULL,NULL,'','{"is":"animals-in","species":"Danio rerio","count":4,"length_cm":2.5}');
INSERT INTO "entries" VALUES(4,'1a4ec22334bb404c9cab83f0053d72b3','1dab4c32c1f04b44baa254002aff041e','539be9d837b54e71ab85111c3fbcc3e7','event',NULL,'2026-03-12 12:00:00.000000','Europe/Lisbon',0,'water-change',NULL,NULL,'','{"is":"water-change","fraction":0.25,"conditioner":true,"water":{}}');
INSERT INTO "entries" VALUES(5,'5bb39879d0684a6f9af40cd36778392c','1dab4c32c1f04b44baa254002aff041e','539be9d837b54e71ab85111c3fbcc3e7','habit',NULL,'2026-03-02 12:00:00.000000','Europe/Lisbon',0,'feed',NULL,NULL,'1 pinch','{"template":{"is":"feed","mass_g":{"low":0.03,"high":0.03},"protein":0.42,"raw":"1 pinch"},"every_days":1.0,"start":"2026-03-02"}');
INSERT INTO "entries" VALUES(6,'12042b8eddd3459b86641847b8304faa','1dab4c32c1f04b44baa254002aff041e','539be9d837b54e71ab85111c3fbcc3e7','reading',NULL,'2026-03-10 19:00:00.000000','Europe/Lisbon',1,'ammonia',0.7,0.7,'0.7 mg/L as N','{"quantity":"ammonia","value":{"kind":"exact","low":0.7,"high":0.7,"basis":"n","raw":"0.7 mg/L as N"},"kit":"drop","of_source_water":false,"diluted":1.0}');
INSERT INTO "entries" VALUES(7,'d9b51dff8aec47e7845ef3bb5a33e664','1dab4c32c1f04b44baa254002aff041e','597b398918014652b92ab22f59478f55','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"kept"}');
INSERT INTO "entries" VALUES(8,'d318ffa6313b43fd91a6c4f0b47c2afa','1dab4c32c1f04b44baa254002aff041e','811647020ecd4c73b71334ef0465aa57','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"tow"}');
INSERT INTO "entries" VALUES(9,'c07a923f23cd41a3850d024cb2b25346','1dab4c32c1f04b44baa254002aff041e','71577a14ebe8497bb13dea76a57eb804','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"undone"}');
INSERT INTO "entries" VALUES(10,'854c1c6577094575ab5503b38d86eec0','1dab4c32c1f04b44baa254002aff041e','99f25fa752ec4bccbaeca6beff19363a','undo','c07a923f23cd41a3850d024cb2b25346',NULL,NULL,NULL,NULL,NULL,NULL,'','{}');
INSERT INTO "entries" VALUES(11,'30b5e78f9d8d416a907ceb460080a1cf','1dab4c32c1f04b44baa254002aff041e','4e2ed9b3f7e54baa9b33ab797655d742','event','d318ffa6313b43fd91a6c4f0b47c2afa','2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"two"}');
CREATE TABLE tanks (
	"key" TEXT NOT NULL, 
	owner TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	CONSTRAINT pk_tanks PRIMARY KEY ("key"), 
	CONSTRAINT fk_tanks_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "tanks" VALUES('1dab4c32c1f04b44baa254002aff041e','me','539be9d837b54e71ab85111c3fbcc3e7');
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
INSERT INTO "writes" VALUES('539be9d837b54e71ab85111c3fbcc3e7','me','539be9d837b54e71ab85111c3fbcc3e7','87623ceab830648b4f91539f54b7d3d6ef9bbdb04a1442dcfbf90103dd60e73e','add','2026-11-26 00:02:37.081084');
INSERT INTO "writes" VALUES('597b398918014652b92ab22f59478f55','me','kept','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:02:37.109056');
INSERT INTO "writes" VALUES('811647020ecd4c73b71334ef0465aa57','me','tow','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:02:37.117172');
INSERT INTO "writes" VALUES('71577a14ebe8497bb13dea76a57eb804','me','undone','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:02:37.125261');
INSERT INTO "writes" VALUES('99f25fa752ec4bccbaeca6beff19363a','me','99f25fa752ec4bccbaeca6beff19363a','eb8d7f8b06b8f78335ec72aa890b0d39aa470613cd451c49df2f52a2ce054859','undo','2026-11-26 00:02:37.130263');
INSERT INTO "writes" VALUES('4e2ed9b3f7e54baa9b33ab797655d742','me','4e2ed9b3f7e54baa9b33ab797655d742','844cd17a64dffb0b93be849979ecbc677a8e98a1b595a402ec08ce1b4f683166','correct','2026-11-26 00:02:37.147468');
CREATE INDEX ix_tanks_owner ON tanks (owner);
CREATE INDEX ix_entries_write_key ON entries (write_key);
CREATE INDEX ix_entries_tank_key_kind_at ON entries (tank_key, kind, at);
CREATE INDEX ix_entries_tank_key_number ON entries (tank_key, number);
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
