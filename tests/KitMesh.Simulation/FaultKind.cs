namespace KitMesh.Simulation;

/// <summary>What a world does to its nodes and links.</summary>
internal enum FaultKind
{
    FrameDropped,
    FrameDuplicated,
    FramesReordered,
    FrameDelayed,
    CutMidFrame,
    LinkCut,
    Partition,
    ProcessKilled,
    PowerCut,
    PowerCutAtDiskStep,
    NoSpace,
    WriteFails,
    SyncFails,
    BitFlip,
    ClockJump,
    SlowPeer,
    DiskReplaced,
    DiskRestored,
}
