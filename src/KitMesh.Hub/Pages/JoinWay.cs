namespace KitMesh.Hub.Pages;

/// <summary>Whether the reader of a page can let a phone join.</summary>
public enum JoinWay
{
    /// <summary>The hub listens on loopback: no phone can reach it.</summary>
    OnlyThisMachine,

    /// <summary>The reader is no keeper.</summary>
    NoKeeper,

    /// <summary>The reader is a keeper.</summary>
    Keeper,
}
