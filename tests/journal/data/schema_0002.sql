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
INSERT INTO "entries" VALUES(1,'8c1fc76613074c9392f382da2ae7a2af','8b5489e1ca24493abc3cc52902dc401b','539110a2421b49a7b5f03e47c47eeb35','tank',NULL,NULL,NULL,NULL,'Reading room',NULL,NULL,'','{"name":"Reading room","filled":"2026-03-01","time_zone":"Europe/Lisbon","shape":{"kind":"rectangular","length_cm":60.0,"width_cm":30.0,"height_cm":36.0,"water_depth_cm":32.0,"glass_mm":6.0,"measured":"outside"},"bed":{"material":"gravel","depth_cm":3.5,"grain_mm":3.0},"filter":{"media":[{"kind":"sponge","volume_l":0.6}],"flow_l_per_h":300.0},"heater_power_w":75.0,"heater_set_point_c":25.0,"air_flow_l_per_h":60.0,"light_hours":8.0,"plants":"few","lid":true,"room_temperature_c":20.0,"altitude_m":300.0,"normal_food_g_per_d":{"low":0.03,"high":0.03},"normal_food_protein":0.42,"source_water":{"ph":7.6,"kh_dkh":5.0,"gh_dgh":8.0,"nitrate_mg_n_per_l":1.1294833150283285,"chloramine_mg_per_l":1.5,"salinity_g_per_kg":0.0},"fill_conditioned":true,"kits":{"drop":{"name":"drop","kind":"drop","scales":[{"quantity":"ammonia","steps":[0.0,0.3,0.7,1.5,3.0,6.0],"basis":"n"}],"calibrated":[]}},"food_amounts":{"pinch":{"low":0.03,"high":0.03}},"settled_levels":{"ammonia_mg_n_per_l":0.2,"nitrite_mg_n_per_l":0.1},"limit_edits":[]}');
INSERT INTO "entries" VALUES(2,'a6051529c18341c5847da759aa254441','8b5489e1ca24493abc3cc52902dc401b','539110a2421b49a7b5f03e47c47eeb35','event',NULL,'2026-03-01 11:00:00.000000','Europe/Lisbon',1,'dose',NULL,NULL,'','{"is":"dose","substance":"conditioner"}');
INSERT INTO "entries" VALUES(3,'3878226a39584b6ba38c440dca7b5514','8b5489e1ca24493abc3cc52902dc401b','539110a2421b49a7b5f03e47c47eeb35','event',NULL,'2026-03-02 18:00:00.000000','Europe/Lisbon',1,'animals-in',NULL,NULL,'','{"is":"animals-in","species":"Danio rerio","count":4,"length_cm":2.5}');
INSERT INTO "entries" VALUES(4,'945b7a55f2694eb7ba91250165aef656','8b5489e1ca24493abc3cc52902dc401b','539110a2421b49a7b5f03e47c47eeb35','event',NULL,'2026-03-12 12:00:00.000000','Europe/Lisbon',0,'water-change',NULL,NULL,'','{"is":"water-change","fraction":0.25,"conditioner":true,"water":{}}');
INSERT INTO "entries" VALUES(5,'bc23e96d6eeb40e1b8f7b0da642bb389','8b5489e1ca24493abc3cc52902dc401b','539110a2421b49a7b5f03e47c47eeb35','habit',NULL,'2026-03-02 12:00:00.000000','Europe/Lisbon',0,'feed',NULL,NULL,'1 pinch','{"template":{"is":"feed","mass_g":{"low":0.03,"high":0.03},"protein":0.42,"raw":"1 pinch"},"every_days":1.0,"start":"2026-03-02"}');
INSERT INTO "entries" VALUES(6,'6a94ba95003e49be863b2d8b0989ba54','8b5489e1ca24493abc3cc52902dc401b','539110a2421b49a7b5f03e47c47eeb35','reading',NULL,'2026-03-10 19:00:00.000000','Europe/Lisbon',1,'ammonia',0.7,0.7,'0.7 mg/L as N','{"quantity":"ammonia","value":{"kind":"exact","low":0.7,"high":0.7,"basis":"n","raw":"0.7 mg/L as N"},"kit":"drop","of_source_water":false,"diluted":1.0}');
INSERT INTO "entries" VALUES(7,'9d3c8354723b494a9b1cd7e3fa3a1338','8b5489e1ca24493abc3cc52902dc401b','c94499f350624e17ae51961a30f74990','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"kept"}');
INSERT INTO "entries" VALUES(8,'969d8ced018b448282d869e5d4dfae6b','8b5489e1ca24493abc3cc52902dc401b','81aef5a385cf442dadfffd526b0f79bd','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"tow"}');
INSERT INTO "entries" VALUES(9,'ba74de03161e4fd8bb9e3e646e630bac','8b5489e1ca24493abc3cc52902dc401b','04fc5f1ddc204bab953fae9ad71604a1','event',NULL,'2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"undone"}');
INSERT INTO "entries" VALUES(10,'2ca39c9fe667497fb118f8f4fc9124d8','8b5489e1ca24493abc3cc52902dc401b','7498b1a37a914ba28e456a8f0c8abf8e','undo','ba74de03161e4fd8bb9e3e646e630bac',NULL,NULL,NULL,NULL,NULL,NULL,'','{}');
INSERT INTO "entries" VALUES(11,'6176279fbf9c479d9237b7e67636dc89','8b5489e1ca24493abc3cc52902dc401b','10a892e8ca20492e8a08e9c935a34e12','event','969d8ced018b448282d869e5d4dfae6b','2026-03-21 09:00:00.000000','Europe/Lisbon',1,'note',NULL,NULL,'','{"is":"note","text":"two"}');
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
	document BLOB NOT NULL, 
	CONSTRAINT pk_forecasts PRIMARY KEY ("key"), 
	CONSTRAINT fk_forecasts_tank_key FOREIGN KEY(tank_key) REFERENCES tanks ("key"), 
	CONSTRAINT fk_forecasts_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "forecasts" VALUES('eb1e448dc9214887942959e88ad1e6b8','8b5489e1ca24493abc3cc52902dc401b','3bd7e5b830a0499287e5de942e3e857c','2026-03-21 09:00:00.000000',30,11,2147483647,1000,'1','abc',X'789CAB564ACB2FCA4D2C51B252502A4F2C492D2A4BCC4BD5058AA526271697E81B2AE928289524E66583E4CF6D54AA050097B61070');
CREATE TABLE tanks (
	"key" TEXT NOT NULL, 
	owner TEXT NOT NULL, 
	write_key TEXT NOT NULL, 
	CONSTRAINT pk_tanks PRIMARY KEY ("key"), 
	CONSTRAINT fk_tanks_write_key FOREIGN KEY(write_key) REFERENCES writes ("key")
);
INSERT INTO "tanks" VALUES('8b5489e1ca24493abc3cc52902dc401b','me','539110a2421b49a7b5f03e47c47eeb35');
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
INSERT INTO "writes" VALUES('539110a2421b49a7b5f03e47c47eeb35','me','539110a2421b49a7b5f03e47c47eeb35','87623ceab830648b4f91539f54b7d3d6ef9bbdb04a1442dcfbf90103dd60e73e','add','2026-11-26 00:32:53.449087');
INSERT INTO "writes" VALUES('c94499f350624e17ae51961a30f74990','me','kept','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:32:53.476933');
INSERT INTO "writes" VALUES('81aef5a385cf442dadfffd526b0f79bd','me','tow','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:32:53.493026');
INSERT INTO "writes" VALUES('04fc5f1ddc204bab953fae9ad71604a1','me','undone','59772b9c70d6cc244274937445f7c5b56ec6fe0a11292c4ed68848655515a1e6','record','2026-11-26 00:32:53.504986');
INSERT INTO "writes" VALUES('7498b1a37a914ba28e456a8f0c8abf8e','me','7498b1a37a914ba28e456a8f0c8abf8e','eb8d7f8b06b8f78335ec72aa890b0d39aa470613cd451c49df2f52a2ce054859','undo','2026-11-26 00:32:53.517015');
INSERT INTO "writes" VALUES('10a892e8ca20492e8a08e9c935a34e12','me','10a892e8ca20492e8a08e9c935a34e12','844cd17a64dffb0b93be849979ecbc677a8e98a1b595a402ec08ce1b4f683166','correct','2026-11-26 00:32:53.532091');
INSERT INTO "writes" VALUES('3bd7e5b830a0499287e5de942e3e857c','me','3bd7e5b830a0499287e5de942e3e857c','7dda3edfe5efa61bc165ef9522421199f61bcdad2ee8ec23b339c47bcf1cec09','forecast','2026-11-26 00:32:53.552667');
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
