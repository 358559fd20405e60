namespace KitMesh.TestKit.Disk;

/// <summary>One change of names in a directory that is not yet synced: a name taken away, a name given, or both in one step.</summary>
internal readonly record struct NameChange(string Directory, string? Gone, string? Given, SimulatedInode? Inode);
