namespace KitMesh.Hub.Pages;

/// <summary>What became of an invitation of a phone.</summary>
/// <param name="Node">The phone's name.</param>
/// <param name="Link">The link that it opens.</param>
/// <param name="Code">The code in the link, for typing.</param>
/// <param name="Path">The picture's dark modules as a path.</param>
/// <param name="Size">The picture's width in modules.</param>
/// <param name="Problem">Why there is none; empty when there is.</param>
public sealed record InviteMade(string Node, string Link, string Code, string Path, int Size, string Problem)
{
    /// <summary>None, and why.</summary>
    /// <param name="problem">Why.</param>
    public static InviteMade Refused(string problem) => new("", "", "", "", 0, problem);
}
