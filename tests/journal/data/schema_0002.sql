BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0002');
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
INSERT INTO "entries" VALUES(1,'bbcbd5d3e17a40399570669604027e9a','fd8ae7b48ae64d6d8d7baf408ed523ff','b17b69c6c013497086807547f396d7bd','tank',NULL,NULL,NULL,NULL,'Reading room',NULL,NULL,'','{"name":"Reading room","filled":"2026-03-01","time_zone":"Europe/Lisbon","shape":{"kind":"rectangular","length_cm":60.0,"width_cm":30.0,"height_cm":36.0,"water_depth_cm":32.0,"glass_mm":6.0,"measured":"outside"},"bed":{"material":"gravel","depth_cm":3.5,"grain_mm":3.0},"filter":{"media":[{"kind":"sponge","volume_l":0.6}],"flow_l_per_h":300.0},"heater_power_w":75.0,"heater_set_point_c":25.0,"air_flow_l_per_h":60.0,"light_hours":8.0,"plants":"few","lid":true,"room_temperature_c":20.0,"altitude_m":300.0,"normal_food_g_per_d":{"low":0.03,"high":0.03},"normal_food_protein":0.42,"source_water":{"ph":7.6,"kh_dkh":5.0,"gh_dgh":8.0,"nitrate_mg_n_per_l":1.1294833150283285,"chloramine_mg_per_l":1.5,"salinity_g_per_kg":0.0},"fill_conditioned":true,"kits":{"drop":{"name":"drop","kind":"drop","scales":[{"quantity":"ammonia","steps":[0.0,0.3,0.7,1.5,3.0,6.0],"basis":"n"}],"calibrated":[]}},"food_amounts":{"pinch":{"low":0.03,"high":0.03}},"settled_levels":{"ammonia_mg_n_per_l":0.2,"nitrite_mg_n_per_l":0.1},"limit_edits":[]}');
INSERT INTO "entries" VALUES(2,'1f0119b60a4047b39c9959152b47009e','fd8ae7b48ae64d6d8d7baf408ed523ff','b17b69c6c013497086807547f396d7bd','event',NULL,'2026-03-01 11:00:00.000000','Europe/Lisbon',1,'dose',NULL,NULL,'','{"is":"dose","substance":"conditioner"}');
INSERT INTO "entries" VALUES(3,'739f3e18dc944f02ab42f11afa1c17c7','fd8ae7b48ae64d6d8d7baf408ed523ff','b17b69c6c013497086807547f396d7bd','event',NULL,'2026-03-02 18:00:00.000000','Europe/Lisbon',1,'animals-in',NULL,NULL,'','{"is":"animals-in","species":"Danio rerio","count":4,"length_cm":2.5}');
INSERT INTO "entries" VALUES(4,'10052999ff584d2cb80f5ad2a9bc952e','fd8ae7b48ae64d6d8d7baf408ed523ff','b17b69c6c013497086807547f396d7bd','event',NULL,'2026-03-12 12:00:00.000000','Europe/Lisbon',0,'water-change',NULL,NULL,'','{"is":"water-change","fraction":0.25,"conditioner":true,"water":{}}');
INSERT INTO "entries" VALUES(5,'c4768955a0f44ffdbf1457994258e07c','fd8ae7b48ae64d6d8d7baf408ed523ff','b17b69c6c013497086807547f396d7bd','habit',NULL,'2026-03-02 12:00:00.000000','Europe/Lisbon',0,'feed',NULL,NULL,'1 pinch','{"template":{"is":"feed","mass_g":{"low":0.03,"high":0.03},"protein":0.42,"raw":"1 pinch"},"every_days":1.0,"start":"2026-03-02"}');
INSERT INTO "entries" VALUES(6,'66fb5cc81fde40cd824460425ac18a03','fd8ae7b48ae64d6d8d7baf408ed523ff','b17b69c6c013497086807547f396d7bd','reading',NULL,'2026-03-10 19:00:00.000000','Europe/Lisbon',1,'ammonia',0.7,0.7,'0.7 mg/L as N','{"quantity":"ammonia","value":{"kind":"exact","low":0.7,"high":0.7,"basis":"n","raw":"0.7 mg/L as N"},"kit":"drop","of_source_water":false,"diluted":1.0}');
INSERT INTO "entries" VALUES(7,'f894e15749a7443886d0f630bedadc1d','fd8ae7b48ae64d6d8d7baf408ed523ff','aa8b9dcb06704b9d84412af536042366','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"kept"}');
INSERT INTO "entries" VALUES(8,'48865920baf642c2b1e9b1522cbff304','fd8ae7b48ae64d6d8d7baf408ed523ff','3a78916a5ce14e67b9ae495c9978d11b','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"tow"}');
INSERT INTO "entries" VALUES(9,'372d7e150896478292c74eee8be2352d','fd8ae7b48ae64d6d8d7baf408ed523ff','6dadbb9341a54a3c99680ed22496a74d','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"undone"}');
INSERT INTO "entries" VALUES(10,'88dd45c6ef1d44ff891101dd8c0ae768','fd8ae7b48ae64d6d8d7baf408ed523ff','8ab2479b7afe445cba92e589dac4d003','undo','372d7e150896478292c74eee8be2352d',NULL,NULL,NULL,NULL,NULL,NULL,'','{}');
INSERT INTO "entries" VALUES(11,'ff3eb1f067a1432e891e32ef62d9e415','fd8ae7b48ae64d6d8d7baf408ed523ff','14453d4c8bb24694921462490e679e3d','event','48865920baf642c2b1e9b1522cbff304','2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"two"}');
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
INSERT INTO "forecasts" VALUES('662ab2a738f645188ff8362eeb694797','fd8ae7b48ae64d6d8d7baf408ed523ff','a79ed984e56b446bb6a268656aa45c84','2026-03-21 09:00:00.000000',30,11,2147483647,1000,'1','abc','{"format": "watervane-forecast/1", "tank": "α"}');
CREATE TABLE tanks (
	"key" TEXT NOT NULL, 
	owner TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	CONSTRAINT pk_tanks PRIMARY KEY ("key"), 
	CONSTRAINT fk_tanks_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "tanks" VALUES('fd8ae7b48ae64d6d8d7baf408ed523ff','me','b17b69c6c013497086807547f396d7bd');
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
INSERT INTO "writes" VALUES('b17b69c6c013497086807547f396d7bd','me','b17b69c6c013497086807547f396d7bd','87623ceab830648b4f91539f54b7d3d6ef9bbdb04a1442dcfbf90103dd60e73e','add','2026-11-26 00:05:56.522672');
INSERT INTO "writes" VALUES('aa8b9dcb06704b9d84412af536042366','me','kept','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:05:56.547523');
INSERT INTO "writes" VALUES('3a78916a5ce14e67b9ae495c9978d11b','me','tow','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:05:56.558790');
INSERT INTO "writes" VALUES('6dadbb9341a54a3c99680ed22496a74d','me','undone','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:05:56.564988');
INSERT INTO "writes" VALUES('8ab2479b7afe445cba92e589dac4d003','me','8ab2479b7afe445cba92e589dac4d003','eb8d7f8b06b8f78335ec72aa890b0d39aa470613cd451c49df2f52a2ce054859','undo','2026-11-26 00:05:56.568370');
INSERT INTO "writes" VALUES('14453d4c8bb24694921462490e679e3d','me','14453d4c8bb24694921462490e679e3d','844cd17a64dffb0b93be849979ecbc677a8e98a1b595a402ec08ce1b4f683166','correct','2026-11-26 00:05:56.585275');
INSERT INTO "writes" VALUES('a79ed984e56b446bb6a268656aa45c84','me','a79ed984e56b446bb6a268656aa45c84','7dda3edfe5efa61bc165ef9522421199f61bcdad2ee8ec23b339c47bcf1cec09','forecast','2026-11-26 00:05:56.594883');
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
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('entries',11);
COMMIT;
