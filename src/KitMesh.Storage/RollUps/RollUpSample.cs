namespace KitMesh.Storage.RollUps;

/// <summary>One reading on its way into roll-ups: 32 bytes, in memory as in a spill file. Series and origin are numbers of the one who rolls up.</summary>
internal readonly record struct RollUpSample(long Time, int Series, int Origin, ulong Sequence, long Units);
