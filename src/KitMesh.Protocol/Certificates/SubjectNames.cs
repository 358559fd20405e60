using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace KitMesh.Protocol.Certificates;

/// <summary>Reads the attributes of a distinguished name.</summary>
internal static class SubjectNames
{
    public const string CommonNameOid = "2.5.4.3";
    public const string OrganizationOid = "2.5.4.10";

    /// <summary>Every value of one attribute; none when the name cannot be read.</summary>
    public static IReadOnlyList<string> Of(X500DistinguishedName name, string oid)
    {
        try
        {
            return
            [
                .. name.EnumerateRelativeDistinguishedNames()
                    .Where(part => !part.HasMultipleElements && part.GetSingleElementType().Value == oid)
                    .Select(part => part.GetSingleElementValue() ?? ""),
            ];
        }
        catch (Exception odd) when (CertificateProfile.IsOddInput(odd))
        {
            return [];
        }
    }
}
