namespace KitMesh.Domain.Exchange;

/// <summary>One step of a session, as in message <c>kitmesh.v1.Frame</c>. The set of kinds is closed here.</summary>
public abstract record SessionFrame
{
    private protected SessionFrame()
    {
    }
}
