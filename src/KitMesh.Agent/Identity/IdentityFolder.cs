using System.Diagnostics.CodeAnalysis;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Agent.Identity;

/// <summary>The folder in which a device keeps who it is: <c>node.key</c>, <c>node.crt</c>, <c>root.crt</c>, <c>revoked.txt</c>.</summary>
/// <param name="path">The folder.</param>
public sealed class IdentityFolder(string path)
{
    private const string KeyFile = "node.key";
    private const string CertificateFile = "node.crt";
    private const string RootFile = "root.crt";
    private const string RevokedFile = "revoked.txt";

    /// <summary>The folder.</summary>
    public string Path => path;

    /// <summary>Whether a device was enrolled here.</summary>
    public bool IsEnrolled => File.Exists(At(CertificateFile));

    /// <summary>Keeps what an enrolment gave.</summary>
    /// <param name="enrolled">What it gave.</param>
    /// <exception cref="IOException">The disk refuses.</exception>
    public void Save(EnrolOutcome.Enrolled enrolled)
    {
        ArgumentNullException.ThrowIfNull(enrolled);
        PrivateFile.MakeFolder(path);
        WriteText(KeyFile, enrolled.Key.ExportPkcs8PrivateKeyPem() + "\n");
        WriteText(RootFile, enrolled.Root.ExportCertificatePem() + "\n");
        SaveCertificate(enrolled.Certificate, enrolled.Issuer);
    }

    /// <summary>Keeps a renewed certificate.</summary>
    /// <param name="certificate">The certificate.</param>
    /// <param name="issuer">Its issuer; null when the trip root issued it.</param>
    /// <exception cref="IOException">The disk refuses; the old one stays.</exception>
    public void SaveCertificate(X509Certificate2 certificate, X509Certificate2? issuer)
    {
        ArgumentNullException.ThrowIfNull(certificate);
        WriteText(CertificateFile, $"{certificate.ExportCertificatePem()}\n{(issuer is null ? "" : $"{issuer.ExportCertificatePem()}\n")}");
    }

    /// <summary>Keeps who is no longer trusted.</summary>
    /// <param name="nodes">The nodes.</param>
    /// <exception cref="IOException">The disk refuses.</exception>
    public void SaveRevoked(IEnumerable<NodeId> nodes) => WriteText(RevokedFile, string.Concat(nodes.Order().Select(node => $"{node}\n")));

    /// <summary>Who is no longer trusted, as far as this device was told.</summary>
    public IReadOnlySet<NodeId> ReadRevoked()
    {
        var nodes = new HashSet<NodeId>();
        if (File.Exists(At(RevokedFile)))
        {
            foreach (string line in File.ReadLines(At(RevokedFile)))
            {
                if (NodeId.TryParse(line.Trim(), out NodeId node))
                {
                    nodes.Add(node);
                }
            }
        }

        return nodes;
    }

    /// <summary>Loads the identity.</summary>
    /// <param name="identity">The identity; the caller disposes it.</param>
    /// <param name="why">Why there is none, with the mend.</param>
    public bool TryLoad([NotNullWhen(true)] out NodeIdentity? identity, [NotNullWhen(false)] out string? why)
    {
        identity = null;
        why = null;
        if (!IsEnrolled || !File.Exists(At(KeyFile)) || !File.Exists(At(RootFile)))
        {
            why = $"No identity is in {path}. Ask a keeper for a code, then: kitmesh enrol --hub ADDRESS --identity {path}";
            return false;
        }

        if (PrivateFile.IsOpenToOthers(At(KeyFile)))
        {
            why = $"The key {At(KeyFile)} can be read by others, so it is not used. If nobody had it: chmod 600 {At(KeyFile)}. Else enrol again.";
            return false;
        }

        try
        {
            identity = Load();
            return true;
        }
        catch (Exception failure) when (failure is CryptographicException or ArgumentException or IOException or UnauthorizedAccessException)
        {
            why = $"The identity in {path} cannot be used: {failure.Message} Enrol again.";
            return false;
        }
    }

    private NodeIdentity Load()
    {
        var chain = new X509Certificate2Collection();
        chain.ImportFromPem(File.ReadAllText(At(CertificateFile)));
        if (chain.Count is < 1 or > 2)
        {
            throw new CryptographicException($"{CertificateFile} holds {chain.Count} certificates.");
        }

        using ECDsa key = ECDsa.Create();
        key.ImportFromPem(File.ReadAllText(At(KeyFile)));
        using X509Certificate2 bare = chain[0];
        chain.RemoveAt(0);
        var trust = new TripTrust(X509Certificate2.CreateFromPem(File.ReadAllText(At(RootFile))));
        return new NodeIdentity(bare.CopyWithPrivateKey(key), chain, trust, ReadRevoked().Contains);
    }

    private void WriteText(string name, string text) => PrivateFile.Write(At(name), Encoding.ASCII.GetBytes(text));

    private string At(string name) => System.IO.Path.Combine(path, name);
}
