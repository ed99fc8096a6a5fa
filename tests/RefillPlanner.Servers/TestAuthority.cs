using System;
using System.IO;
using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace RefillPlanner.Servers;

/// <summary>A private certificate authority: its root, and certificates of servers right and wrong in every way that matters.</summary>
public sealed class TestAuthority : IDisposable
{
    private const string ServerAuthentication = "1.3.6.1.5.5.7.3.1"; // RFC 5280, 4.2.1.12: id-kp-serverAuth
    private readonly TimeProvider _time;
    private readonly ECDsa _key = ECDsa.Create(ECCurve.NamedCurves.nistP256);

    /// <summary>Makes an authority of its own; two of them do not trust each other.</summary>
    /// <param name="time">The clock from which certificates are valid; null: the system's.</param>
    public TestAuthority(TimeProvider? time = null)
    {
        _time = time ?? TimeProvider.System;
        var request = new CertificateRequest("CN=Invented Authority", _key, HashAlgorithmName.SHA256);
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(certificateAuthority: true, hasPathLengthConstraint: false, 0, critical: true));
        request.CertificateExtensions.Add(new X509KeyUsageExtension(X509KeyUsageFlags.KeyCertSign | X509KeyUsageFlags.CrlSign, critical: true));
        request.CertificateExtensions.Add(new X509SubjectKeyIdentifierExtension(request.PublicKey, critical: false));
        Root = request.CreateSelfSigned(_time.GetUtcNow().AddYears(-2), _time.GetUtcNow().AddYears(2));
    }

    /// <summary>The root certificate.</summary>
    public X509Certificate2 Root { get; }

    /// <summary>Writes the root certificate (PEM), as <c>root_certificate_file</c> wants it.</summary>
    public void WriteRoot(string file) => File.WriteAllText(file, Root.ExportCertificatePem());

    /// <summary>A certificate for this machine, under the names localhost and 127.0.0.1, valid for 90 days.</summary>
    public X509Certificate2 Right() => Issue("localhost", _time.GetUtcNow().AddDays(-1), _time.GetUtcNow().AddDays(90));

    /// <summary>A certificate for another machine.</summary>
    public X509Certificate2 WrongName() => Issue("elsewhere.invalid", _time.GetUtcNow().AddDays(-1), _time.GetUtcNow().AddDays(90));

    /// <summary>A certificate for this machine that was valid until yesterday.</summary>
    public X509Certificate2 Expired() => Issue("localhost", _time.GetUtcNow().AddDays(-90), _time.GetUtcNow().AddDays(-1));

    /// <summary>A certificate of a server.</summary>
    /// <param name="name">Its name; localhost also has the address 127.0.0.1.</param>
    /// <param name="from">From when it is valid.</param>
    /// <param name="to">Until when it is valid.</param>
    public X509Certificate2 Issue(string name, DateTimeOffset from, DateTimeOffset to)
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest($"CN={name}", key, HashAlgorithmName.SHA256);
        var names = new SubjectAlternativeNameBuilder();
        names.AddDnsName(name);
        if (name == "localhost")
            names.AddIpAddress(IPAddress.Loopback);
        request.CertificateExtensions.Add(names.Build());
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(certificateAuthority: false, hasPathLengthConstraint: false, 0, critical: true));
        request.CertificateExtensions.Add(new X509KeyUsageExtension(X509KeyUsageFlags.DigitalSignature, critical: true));
        request.CertificateExtensions.Add(new X509EnhancedKeyUsageExtension([new Oid(ServerAuthentication)], critical: false));
        using var issued = request.Create(Root, from, to, RandomNumberGenerator.GetBytes(12));
        return issued.CopyWithPrivateKey(key);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        Root.Dispose();
        _key.Dispose();
    }
}
