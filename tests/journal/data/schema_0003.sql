BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
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
INSERT INTO "entries" VALUES(1,'ccbc9aee591b4d0f9d429d14fcb47a5a','ebbb0b73074c4283bec48018f834b52c','7ba22dc195404429a963212f9f16b425','tank',NULL,NULL,NULL,NULL,'Reading room',NULL,NULL,'','{"name":"Reading room","filled":"2026-03-01","time_zone":"Europe/Lisbon","shape":{"kind":"rectangular","length_cm":60.0,"width_cm":30.0,"height_cm":36.0,"water_depth_cm":32.0,"glass_mm":6.0,"measured":"outside"},"bed":{"material":"gravel","depth_cm":3.5,"grain_mm":3.0},"filter":{"media":[{"kind":"sponge","volume_l":0.6}],"flow_l_per_h":300.0},"heater_power_w":75.0,"heater_set_point_c":25.0,"air_flow_l_per_h":60.0,"light_hours":8.0,"plants":"few","lid":true,"room_temperature_c":20.0,"altitude_m":300.0,"normal_food_g_per_d":{"low":0.03,"high":0.03},"normal_food_protein":0.42,"source_water":{"ph":7.6,"kh_dkh":5.0,"gh_dgh":8.0,"nitrate_mg_n_per_l":1.1294833150283285,"chloramine_mg_per_l":1.5,"salinity_g_per_kg":0.0},"fill_conditioned":true,"kits":{"drop":{"name":"drop","kind":"drop","scales":[{"quantity":"ammonia","steps":[0.0,0.3,0.7,1.5,3.0,6.0],"basis":"n"}],"calibrated":[]}},"food_amounts":{"pinch":{"low":0.03,"high":0.03}},"settled_levels":{"ammonia_mg_n_per_l":0.2,"nitrite_mg_n_per_l":0.1},"limit_edits":[]}');
INSERT INTO "entries" VALUES(2,'592b8817e2714a2b94079c1d9fe23421','ebbb0b73074c4283bec48018f834b52c','7ba22dc195404429a963212f9f16b425','event',NULL,'2026-03-01 11:00:00.000000','Europe/Lisbon',1,'dose',NULL,NULL,'','{"is":"dose","substance":"conditioner"}');
INSERT INTO "entries" VALUES(3,'198baa1bedbe4cd2af4f219ff88671d2','ebbb0b73074c4283bec48018f834b52c','7ba22dc195404429a963212f9f16b425','event',NULL,'2026-03-02 18:00:00.000000','Europe/Lisbon',1,'animals-in',NULL,NULL,'','{"is":"animals-in","species":"Danio rerio","count":4,"length_cm":2.5}');
INSERT INTO "entries" VALUES(4,'2f5e90e70855440180b99b17e9f62970','ebbb0b73074c4283bec48018f834b52c','7ba22dc195404429a963212f9f16b425','event',NULL,'2026-03-12 12:00:00.000000','Europe/Lisbon',0,'water-change',NULL,NULL,'','{"is":"water-change","fraction":0.25,"conditioner":true,"water":{}}');
INSERT INTO "entries" VALUES(5,'499effad070840e3a39d786565b93d4d','ebbb0b73074c4283bec48018f834b52c','7ba22dc195404429a963212f9f16b425','habit',NULL,'2026-03-02 12:00:00.000000','Europe/Lisbon',0,'feed',NULL,NULL,'1 pinch','{"template":{"is":"feed","mass_g":{"low":0.03,"high":0.03},"protein":0.42,"raw":"1 pinch"},"every_days":1.0,"start":"2026-03-02"}');
INSERT INTO "entries" VALUES(6,'ef3a4fa044b1489bb8ae90841b6a2f1f','ebbb0b73074c4283bec48018f834b52c','7ba22dc195404429a963212f9f16b425','reading',NULL,'2026-03-10 19:00:00.000000','Europe/Lisbon',1,'ammonia',0.7,0.7,'0.7 mg/L as N','{"quantity":"ammonia","value":{"kind":"exact","low":0.7,"high":0.7,"basis":"n","raw":"0.7 mg/L as N"},"kit":"drop","of_source_water":false,"diluted":1.0}');
INSERT INTO "entries" VALUES(7,'88ed114d92784c6a8587cb05ae17c38f','ebbb0b73074c4283bec48018f834b52c','ec51552d95cf4420939f6260c383e06d','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"kept"}');
INSERT INTO "entries" VALUES(8,'1b19e9f85add44589dc4adc1b8830600','ebbb0b73074c4283bec48018f834b52c','4ba486fb801d47af80ffedb708ab3989','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"tow"}');
INSERT INTO "entries" VALUES(9,'0f8e6aa2a5fe4274a2e7d3287eb5b7f9','ebbb0b73074c4283bec48018f834b52c','035979a45d1540dba6788d359f058ead','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"undone"}');
INSERT INTO "entries" VALUES(10,'6acba59f1d5d4ebab91eff9e5536670b','ebbb0b73074c4283bec48018f834b52c','54908409bc7248b9aade150938ea656c','undo','0f8e6aa2a5fe4274a2e7d3287eb5b7f9',NULL,NULL,NULL,NULL,NULL,NULL,'','{}');
INSERT INTO "entries" VALUES(11,'c438dda2914248f6a4e357c8aac2122f','ebbb0b73074c4283bec48018f834b52c','330604ccffc6485caf3fd1aad82f1ada','event','1b19e9f85add44589dc4adc1b8830600','2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"two"}');
CREATE TABLE forecasts (
	"key" TEXT NOT NULL, 
	tank_key TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	as_of DATETIME NOT NULL, 
	horizon_days INTEGER NOT NULL, 
	newest_entry BIGINT NOT NULL, 
	seed BIGINT NOT NULL, 
	members INTEGER NOT NULL, 
	model_version TEXT NOT NULL, 
	parameter_digest TEXT NOT NULL, 
	document TEXT NOT NULL, 
	CONSTRAINT pk_forecasts PRIMARY KEY ("key"), 
	CONSTRAINT fk_forecasts_tank_key FOREIGN KEY(tank_key) REFERENCES tanks ("key"), 
	CONSTRAINT fk_forecasts_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "forecasts" VALUES('8c1f6a1da8dc41f9b378a45e1db41010','ebbb0b73074c4283bec48018f834b52c','49344f6d8d1843b7aef807a293c65764','2026-03-21 09:00:00.000000',30,11,2147483647,1000,'1','abc','{"format": "watervane-forecast/1", "tank": "α"}');
CREATE TABLE photos (
	"key" TEXT NOT NULL, 
	entry_key TEXT NOT NULL, 
	media_type TEXT NOT NULL, 
	width_px INTEGER NOT NULL, 
	height_px INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	data BLOB NOT NULL, 
	CONSTRAINT pk_photos PRIMARY KEY ("key"), 
	CONSTRAINT fk_photos_entry_key FOREIGN KEY(entry_key) REFERENCES entries ("key")
);
INSERT INTO "photos" VALUES('fbcc43f2738845038faa92118a3f289f','c438dda2914248f6a4e357c8aac2122f','image/jpeg',3,2,'6ec9c2b0eb14010746c8bce8939303b382344b296206612eb8a907a37b2b2f37',X'706978656C73');
CREATE TABLE tanks (
	"key" TEXT NOT NULL, 
	owner TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	CONSTRAINT pk_tanks PRIMARY KEY ("key"), 
	CONSTRAINT fk_tanks_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "tanks" VALUES('ebbb0b73074c4283bec48018f834b52c','me','7ba22dc195404429a963212f9f16b425');
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
INSERT INTO "writes" VALUES('7ba22dc195404429a963212f9f16b425','me','7ba22dc195404429a963212f9f16b425','87623ceab830648b4f91539f54b7d3d6ef9bbdb04a1442dcfbf90103dd60e73e','add','2026-11-26 00:23:05.937961');
INSERT INTO "writes" VALUES('ec51552d95cf4420939f6260c383e06d','me','kept','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:23:05.961067');
INSERT INTO "writes" VALUES('4ba486fb801d47af80ffedb708ab3989','me','tow','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:23:05.967622');
INSERT INTO "writes" VALUES('035979a45d1540dba6788d359f058ead','me','undone','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:23:05.974964');
INSERT INTO "writes" VALUES('54908409bc7248b9aade150938ea656c','me','54908409bc7248b9aade150938ea656c','eb8d7f8b06b8f78335ec72aa890b0d39aa470613cd451c49df2f52a2ce054859','undo','2026-11-26 00:23:05.979984');
INSERT INTO "writes" VALUES('330604ccffc6485caf3fd1aad82f1ada','me','330604ccffc6485caf3fd1aad82f1ada','844cd17a64dffb0b93be849979ecbc677a8e98a1b595a402ec08ce1b4f683166','correct','2026-11-26 00:23:05.992258');
INSERT INTO "writes" VALUES('49344f6d8d1843b7aef807a293c65764','me','49344f6d8d1843b7aef807a293c65764','7dda3edfe5efa61bc165ef9522421199f61bcdad2ee8ec23b339c47bcf1cec09','forecast','2026-11-26 00:23:06.002317');
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
CREATE INDEX ix_forecasts_tank_key_as_of ON forecasts (tank_key, as_of);
CREATE TRIGGER forecasts_no_update BEFORE UPDATE ON forecasts BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER forecasts_no_delete BEFORE DELETE ON forecasts BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE INDEX ix_photos_entry_key ON photos (entry_key);
CREATE TRIGGER photos_no_update BEFORE UPDATE ON photos BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
CREATE TRIGGER photos_no_delete BEFORE DELETE ON photos BEGIN SELECT RAISE(ABORT, 'what was kept is never changed'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entries',11);
COMMIT;
