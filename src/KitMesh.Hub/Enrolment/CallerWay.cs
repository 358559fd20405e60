namespace KitMesh.Hub.Enrolment;

/// <summary>How a caller proved who it is.</summary>
internal enum CallerWay
{
    /// <summary>The socket in the data folder, which only the folder's owner may open.</summary>
    OwnerSocket,

    /// <summary>A client certificate.</summary>
    Certificate,

    /// <summary>A page session from a join link.</summary>
    Session,

    /// <summary>A hub that listens on loopback only and asks nobody.</summary>
    OpenLoopback,
}
