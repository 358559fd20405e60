namespace KitMesh.TestKit.Disk;

/// <summary>The operations at whose boundary a power cut or a fault can strike.</summary>
public enum DiskStepKind
{
    Create,
    Read,
    Write,
    Sync,
    Truncate,
    Move,
    Delete,
    SyncDirectory,
}
