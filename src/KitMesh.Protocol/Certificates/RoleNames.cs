using System.Diagnostics.CodeAnalysis;

namespace KitMesh.Protocol.Certificates;

/// <summary>Roles as text: <c>writer</c>, <c>reader</c>, <c>keeper</c>, <c>hub</c>.</summary>
public static class RoleNames
{
    private static readonly (MeshRoles Role, string Name)[] Known =
    [
        (MeshRoles.Writer, "writer"),
        (MeshRoles.Reader, "reader"),
        (MeshRoles.Keeper, "keeper"),
        (MeshRoles.Hub, "hub"),
    ];

    /// <summary>The names of the roles, in fixed order.</summary>
    /// <param name="roles">The roles.</param>
    public static IReadOnlyList<string> Of(MeshRoles roles) => [.. Known.Where(known => roles.HasFlag(known.Role)).Select(known => known.Name)];

    /// <summary>The roles behind names; a name not known gives nothing at all, since it may mean less than one thinks.</summary>
    /// <param name="names">The names.</param>
    /// <param name="roles">The roles.</param>
    /// <param name="unknown">The first name that is not known.</param>
    public static bool TryParse(IEnumerable<string> names, out MeshRoles roles, [NotNullWhen(false)] out string? unknown)
    {
        roles = MeshRoles.None;
        foreach (string name in names)
        {
            MeshRoles role = Known.FirstOrDefault(known => known.Name == name).Role;
            if (role == MeshRoles.None)
            {
                unknown = name;
                return false;
            }

            roles |= role;
        }

        unknown = null;
        return true;
    }
}
