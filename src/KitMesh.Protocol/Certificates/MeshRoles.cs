namespace KitMesh.Protocol.Certificates;

/// <summary>What the holder of a certificate may do. They stand in the certificate itself (docs/enrolment.md).</summary>
[Flags]
public enum MeshRoles
{
    /// <summary>Nothing but join.</summary>
    None = 0,

    /// <summary>Hands over reports of its own node.</summary>
    Writer = 1,

    /// <summary>Reads pages and answers.</summary>
    Reader = 2,

    /// <summary>Declares kit, lets devices in, revokes, releases cards.</summary>
    Keeper = 4,

    /// <summary>Exchanges everything, passes on what others wrote, and lets writers and readers in.</summary>
    Hub = 8,
}
